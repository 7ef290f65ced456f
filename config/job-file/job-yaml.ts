import {
  isAlias,
  isCollection,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  LineCounter,
  type Pair,
  parseDocument,
  type YAMLError,
  type YAMLMap,
} from 'yaml';
import { type FoundProblem, type JobPath, type JobProblem, pathText } from './job-problem.js';

/** What stands in a job file, before anybody asks whether it makes sense. */
export interface JobTree {
  /** Mappings as objects without prototype, lists as arrays, every scalar as its text, empty values as null. */
  readonly tree: unknown;
  /** Mistakes in the YAML itself. */
  readonly problems: readonly JobProblem[];
  /** Whether the text is so broken that its shape says nothing. */
  readonly broken: boolean;
  /** Gives a found problem its line and column. */
  readonly locate: (found: FoundProblem) => JobProblem;
}

/** Plain words for the parser's commonest complaints; others keep the parser's own first sentence. */
const complaints: Readonly<Record<string, readonly [what: string, expected: string]>> = {
  TAB_AS_INDENT: ['a tab is used to indent', 'spaces: YAML does not take tabs here'],
  MULTIPLE_DOCS: [
    'a second document starts here',
    'one document, so no line that is only "---" but the first',
  ],
  BAD_INDENT: [
    'the indentation does not fit',
    'lines of one section to begin in one column, and every bracket closed',
  ],
  MISSING_CHAR: [
    'something is missing here',
    'a colon and a space after a key, and a closing quote or bracket',
  ],
  BAD_SCALAR_START: ['a value cannot start with this character', 'the value in quotes'],
  BLOCK_AS_IMPLICIT_KEY: [
    'two colons stand in one line',
    'one "key: value" a line, text with a colon in quotes',
  ],
  BAD_DQ_ESCAPE: [
    'a backslash in double quotes means something else',
    'single quotes around text with backslashes',
  ],
  TAG_RESOLVE_FAILED: ['tags (words with !) are not used here', 'the plain value'],
};

/** A job file nests about five levels. The parser calls itself once a level and would run out of stack on thousands. */
const deepestBrackets = 30;
const deepestIndent = 100;

/**
 * Reads the YAML text of a job file with every scalar kept as text (YAML's failsafe schema), so that page 001 stays 001.
 * Refuses what a job file has no use for and what can be abused: anchors and aliases, tags, several documents, nesting
 * without end.
 */
export function readJobYaml(text: string): JobTree {
  const clean = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const lines = new LineCounter();
  const problems: JobProblem[] = [];
  const report: Report = (offset, message, expected) => {
    const { line, col } = lines.linePos(offset);
    problems.push({
      line: Math.max(line, 1),
      column: Math.max(col, 1),
      path: '',
      message,
      expected,
      example: '',
    });
  };
  const tooDeepLine = lineThatNestsTooDeep(clean);
  if (tooDeepLine !== undefined) {
    problems.push({ ...tooDeep, line: tooDeepLine });
    return {
      tree: null,
      problems,
      broken: true,
      locate: (found) => ({ ...tooDeep, ...found, path: pathText(found.at) }),
    };
  }
  // Keys are compared here, in plain(): the parser's own comparison takes minutes for many keys.
  const options = { schema: 'failsafe', prettyErrors: false, logLevel: 'error', uniqueKeys: false } as const;
  const document = parseDocument(clean, { ...options, lineCounter: lines });
  for (const error of [...document.errors, ...document.warnings]) reportError(error, report);
  const broken = document.errors.some((error) => error.code !== 'TAB_AS_INDENT');
  const tree = broken ? null : plain(document.contents, report);
  return { tree, problems, broken, locate: locator(document.contents, lines) };
}

const tooDeep: JobProblem = {
  line: 1,
  column: 1,
  path: '',
  message: 'sections or brackets are nested far too deep',
  expected: 'a handful of levels',
  example: '',
};

/** The first line (counted from 1) whose brackets or indentation go deeper than any job file. */
function lineThatNestsTooDeep(text: string): number | undefined {
  let line = 1;
  let depth = 0;
  for (const token of new Lexer().lex(text)) {
    if (token === '[' || token === '{') depth++;
    else if (token === ']' || token === '}') depth--;
    if (depth > deepestBrackets) return line;
    for (const character of token) if (character === '\n') line++;
  }
  const start = /^(?:[ \t]|[-?:](?=[ \t]))*/;
  const deep = text
    .split('\n')
    .findIndex((content) => (start.exec(content.slice(0, 400))?.[0].length ?? 0) > deepestIndent);
  return deep < 0 ? undefined : deep + 1;
}

function locator(root: unknown, lines: LineCounter): JobTree['locate'] {
  const pairs: PairIndex = new Map();
  return (found) => {
    const { line, col } = lines.linePos(offsetOf(root, found.at, found.on, pairs));
    return {
      line: Math.max(line, 1),
      column: Math.max(col, 1),
      path: pathText(found.at),
      message: found.message,
      expected: found.expected,
      example: found.example,
    };
  };
}

type Report = (offset: number, message: string, expected: string) => void;

function reportError(error: YAMLError, report: Report): void {
  const known = complaints[error.code];
  const ownWords = error.message.split(/[\n:]/)[0].trim();
  report(error.pos[0], known?.[0] ?? ownWords, known?.[1] ?? 'YAML that can be read');
}

/** Turns a node into plain values. Anchors and aliases are reported, so that no text can multiply itself. */
function plain(node: unknown, report: Report): unknown {
  if (isAlias(node)) {
    report(
      node.range?.[0] ?? 0,
      `*${node.source} is read as a reference`,
      'the value itself, in quotes if it starts with *',
    );
    return null;
  }
  if ((isScalar(node) || isCollection(node)) && node.anchor !== undefined) {
    report(
      node.range?.[0] ?? 0,
      `&${node.anchor} is read as an anchor`,
      'the value itself, in quotes if it starts with &',
    );
  }
  if (isSeq(node)) return node.items.map((item) => plain(item, report));
  if (isMap(node)) return plainMapping(node, report);
  if (!isScalar(node)) return null;
  const isEmpty = node.type === 'PLAIN' && (node.source === '' || node.source === '~');
  return isEmpty ? null : String(node.value);
}

/** A mapping as an object without prototype. Of a key that stands there twice the first counts, and it is reported. */
function plainMapping(map: YAMLMap, report: Report): Record<string, unknown> {
  const mapping: Record<string, unknown> = Object.create(null);
  for (const pair of map.items) {
    const offset = startOf(pair.key) ?? 0;
    if (!isScalar(pair.key)) {
      report(offset, 'a key cannot be a list or a mapping', 'a plain word as key');
      continue;
    }
    const key = String(pair.key.value);
    if (key in mapping) report(offset, `the key "${key}" stands here twice`, 'every key once in its section');
    else mapping[key] = plain(pair.value, report);
  }
  return mapping;
}

/** Pairs of every mapping by key, filled when first asked for. */
type PairIndex = Map<YAMLMap, Map<string, Pair>>;

function pairOf(map: YAMLMap, key: string, pairs: PairIndex): Pair | undefined {
  const known = pairs.get(map) ?? new Map<string, Pair>();
  if (!pairs.has(map)) {
    // The first of two equal keys is the one whose value was taken.
    for (const pair of map.items.toReversed())
      if (isScalar(pair.key)) known.set(String(pair.key.value), pair);
    pairs.set(map, known);
  }
  return known.get(key);
}

/** Where in the text a path is; for a path that does not exist, its nearest ancestor. */
function offsetOf(root: unknown, path: JobPath, on: 'key' | 'value', pairs: PairIndex): number {
  let node = root;
  let offset = startOf(root) ?? 0;
  for (const [depth, step] of path.entries()) {
    const isLast = depth === path.length - 1;
    if (isSeq(node) && typeof step === 'number') {
      node = node.items[step];
      offset = startOf(node) ?? offset;
    } else if (isMap(node)) {
      const pair = pairOf(node, String(step), pairs);
      if (pair === undefined) return offset;
      const keyStart = startOf(pair.key) ?? offset;
      node = pair.value;
      const isEmpty = isScalar(node) && node.source === '';
      const wantsKey = (isLast && on === 'key') || isEmpty || isCollection(node);
      offset = wantsKey ? keyStart : (startOf(node) ?? keyStart);
    } else return offset;
  }
  return offset;
}

function startOf(node: unknown): number | undefined {
  return isScalar(node) || isCollection(node) || isAlias(node) ? node.range?.[0] : undefined;
}
