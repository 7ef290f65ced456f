import type { FilePart } from '../../config/job.js';
import { type NameClaims, readName } from './file-name.js';
import type { NameWords } from './name-words.js';
import { type Answer, doubtful, pageOf, quoted, rename } from './page-of-name.js';
import { halfOf } from './spread-halves.js';

/** What a file name comes to: one page, part and version; or nothing certain, and why. */
export type NameReading =
  | {
      readonly kind: 'read';
      readonly page: string;
      /** Page number of the half of a spread that it is; undefined for all else. */
      readonly half: number | undefined;
      readonly part: FilePart;
      readonly version: number | undefined;
      readonly rule: string;
    }
  | {
      readonly kind: 'unread';
      readonly rule: string;
      /** Pages it may belong to, for the advice that goes with it. */
      readonly maybe: readonly string[];
      /** What to do about the file itself, without a final full stop; job.yaml's `names` is always the other way. */
      readonly advice: string;
      /** The part it brings as far as its name tells. */
      readonly part: FilePart;
    };

/** The part of a file: by its own words, else by its folders'; two different parts are never settled by guessing. */
function partOf(file: NameClaims, folders: readonly NameClaims[]): Answer<FilePart> {
  const inFolders = new Map(folders.flatMap((folder) => [...folder.parts]));
  const isOwn = file.parts.size > 0;
  const pool = isOwn ? file.parts : inFolders;
  const advice = 'Leave one part word in its name';
  if (pool.size > 1) return doubtful(`has words of several parts: ${quoted(pool.values())}`, [], advice);
  const [found] = pool;
  if (found === undefined)
    return { kind: 'certain', value: 'whole', rule: 'no part named, so the whole page' };
  const [part, word] = found;
  if (isOwn && inFolders.size > 0 && !inFolders.has(part)) {
    const rule = `its name says "${word}", its folder says ${quoted(inFolders.values())}`;
    return doubtful(rule, [], 'Move it to the folder of its part');
  }
  return { kind: 'certain', value: part, rule: `${part} from ${isOwn ? '' : 'the folder '}"${word}"` };
}

/** The version of a file: the mark in its name, else the one in its folders' names. */
function versionOf(file: NameClaims, folders: readonly NameClaims[]): Answer<number | undefined> {
  const own = file.versions.length > 0;
  const marks = own ? file.versions : folders.flatMap((folder) => folder.versions);
  const distinct = new Map(marks.map((mark) => [mark.version, mark.written]));
  const advice = 'Give it one version such as v3';
  if (distinct.size > 1) return doubtful(`has several versions: ${quoted(distinct.values())}`, [], advice);
  const [first] = marks;
  if (first === undefined) return { kind: 'silent' };
  if (first.version === undefined) {
    return doubtful(`the version "${first.written}" cannot be put in order`, [], advice);
  }
  return {
    kind: 'certain',
    value: first.version,
    rule: `version from ${own ? '' : 'the folder '}"${first.written}"`,
  };
}

/** The claims of a path: its file name and its folders, outermost first. */
function readNames(path: string, words: NameWords): { file: NameClaims; folders: NameClaims[] } {
  const names = path.split('/').filter((name) => name !== '');
  return {
    file: readName(names[names.length - 1] ?? '', words),
    folders: names.slice(0, -1).map((name) => readName(name, words)),
  };
}

/** The version of a file whose page and part are known otherwise; undefined where its name states no certain one. */
export function versionInPath(path: string, words: NameWords): number | undefined {
  const { file, folders } = readNames(path, words);
  const answer = versionOf(file, folders);
  return answer.kind === 'certain' ? answer.value : undefined;
}

/** Another issue's code or number anywhere in the path keeps the file out, whatever else it says. */
function otherIssueIn(names: readonly NameClaims[]): Answer<never> {
  const other = names.find((claims) => claims.otherIssue !== undefined)?.otherIssue;
  if (other === undefined) return { kind: 'silent' };
  const advice = 'Move it to its own issue, or rename it';
  return doubtful(`carries the code or number of another issue: "${other}"`, [], advice);
}

/**
 * Reads one path relative to incoming/ (forward slashes, extension already taken off) into page, part and version.
 * Never throws, whatever the name.
 */
export function readPath(path: string, words: NameWords): NameReading {
  const { file, folders } = readNames(path, words);
  const page = pageOf(file, folders, words);
  const part = partOf(file, folders);
  const version = versionOf(file, folders);
  const tellsPart = part.kind === 'certain' ? part.value : 'whole';
  const half = page.kind === 'certain' ? halfOf([file, ...folders], page.value, words) : page;
  for (const answer of [otherIssueIn([file, ...folders]), page, half, part, version]) {
    if (answer.kind !== 'doubtful') continue;
    const maybe = page.kind === 'certain' ? [page.value] : answer.maybe;
    return { kind: 'unread', rule: answer.rule, maybe, advice: answer.advice, part: tellsPart };
  }
  if (page.kind !== 'certain') {
    return { kind: 'unread', rule: 'its name tells no page', maybe: [], advice: rename, part: tellsPart };
  }
  const answers = [page, part, version];
  return {
    kind: 'read',
    page: page.value,
    half: half.kind === 'certain' ? half.value : undefined,
    part: tellsPart,
    version: version.kind === 'certain' ? version.value : undefined,
    rule: answers.flatMap((answer) => (answer.kind === 'certain' ? [answer.rule] : [])).join('; '),
  };
}
