import type { FilePart, IssuePage } from '../../config/job.js';
import { type Answer, doubtful, quoted } from './answers.js';
import { type NameClaims, readName } from './file-name.js';
import type { NameWords } from './name-words.js';
import { pageOf } from './page-of-name.js';
import { anyPart, partOf, versionOf } from './part-of-name.js';
import { bareHalfWords, halfOf } from './spread-halves.js';
import { keyOf, leftWords, rightWords } from './trade-words.js';

/** What only the picture can tell: how many bits a sample has, or whether it is flat fills or a flattened page. */
export type PictureQuestion = 'depth' | 'fills';

/** What a file name comes to: one page, part and version; work that is not for print; or nothing certain, and why. */
export type NameReading =
  | {
      readonly kind: 'read';
      readonly page: string;
      /** Page number of the half of a spread that it is; undefined for all else. */
      readonly half: number | undefined;
      readonly part: FilePart;
      readonly version: number | undefined;
      readonly rule: string;
      /** What the picture has to be asked before this holds; undefined where the name says all. */
      readonly question: PictureQuestion | undefined;
    }
  | {
      readonly kind: 'off print' | 'unread';
      readonly rule: string;
      /** What to do about the file itself, without a final full stop; job.yaml's `names` is always the other way. */
      readonly advice: string;
      /** What is certain, and what it may be, for the line of job.yaml. */
      readonly open: OpenPlace;
    };

/** What is certain of a file's place, and what it may be. */
export interface OpenPlace {
  /** Its page, where that is certain. */
  readonly page: string | undefined;
  /** Pages that it may be; none where it may be any. */
  readonly pages: readonly string[];
  /** Its part, where that is certain. */
  readonly part: FilePart | undefined;
  /** Parts that it may be. */
  readonly parts: readonly FilePart[];
}

/** What folders claim, by the words that they were read with: many files lie in one folder. */
const folderClaims = new WeakMap<NameWords, Map<string, NameClaims>>();

function readFolder(name: string, words: NameWords): NameClaims {
  const known = folderClaims.get(words) ?? new Map<string, NameClaims>();
  folderClaims.set(words, known);
  const claims = known.get(name) ?? readName(name, words, true);
  known.set(name, claims);
  return claims;
}

/** The claims of a path: its file name and its folders, outermost first. */
function readNames(path: string, words: NameWords): { file: NameClaims; folders: NameClaims[] } {
  const names = path.split('/').filter((name) => name !== '');
  return {
    file: readName(names[names.length - 1] ?? '', words),
    folders: names.slice(0, -1).map((name) => readFolder(name, words)),
  };
}

/** The version of a file whose page and part are known otherwise; undefined where its name states no certain one. */
export function versionInPath(path: string, words: NameWords): number | undefined {
  const { file, folders } = readNames(path, words);
  const answer = versionOf(file, folders);
  return answer.kind === 'certain' ? answer.value : undefined;
}

const elsewhere = 'Move it to its own issue, or rename it';

/** Another issue's code or number anywhere in the path keeps the file out, whatever else it says. */
function otherIssueIn(names: readonly NameClaims[], words: NameWords): Answer<never> {
  const known = names.find((claims) => claims.otherIssue !== undefined)?.otherIssue;
  const other = known ?? names.find((claims) => claims.strangeCode !== undefined)?.strangeCode;
  if (other === undefined) return { kind: 'silent' };
  const { written, code, gluedPage } = other;
  const admits =
    code === undefined ? '' : `; where ${written} counts as this issue, say so in job.yaml: codes: [${code}]`;
  const maybe = gluedPage === undefined ? [] : [...(words.pageNumbers.get(String(gluedPage)) ?? [])];
  if (known !== undefined) {
    const rule = `belongs elsewhere: carries the code or number of another issue: "${written}"`;
    return doubtful(rule, maybe, elsewhere + admits);
  }
  const rule = `may belong elsewhere: nobody has said that "${written}" is not the code of another issue`;
  return doubtful(
    rule,
    maybe,
    `${elsewhere}${admits}, or, where the word means nothing: ignoreWords: [${code ?? written}]`,
  );
}

/** Work that is not for print by its own name or a folder's; variants of a cover are another page's. */
function offPrintIn(file: NameClaims, folders: readonly NameClaims[]): Answer<never> {
  const isCover = file.unlistedCovers.length > 0 || (file.pageNames.size > 0 && file.numbers.length === 0);
  const own = file.offPrint.find(({ means }) => !(isCover && means === 'an alternative'));
  const found = own ?? folders.find(isOffPrintFolder)?.offPrint[0];
  if (found === undefined) return { kind: 'silent' };
  return doubtful(
    `not for print: "${found.written}" says that it is ${found.means}`,
    [],
    'Nothing to do where that is so',
  );
}

/** `Pencils & inks` holds inks too; what lies in `old colours` was discarded, whatever it is. */
function isOffPrintFolder({ offPrint, parts }: NameClaims): boolean {
  return offPrint.length > 0 && (parts.size === 0 || offPrint[0].means === 'unfinished or discarded work');
}

/** Words that nobody has explained keep a file from being the whole page, and from being a cover: they may name another. */
function unexplainedIn(file: NameClaims, page: IssuePage | undefined, part: Answer<FilePart>): Answer<never> {
  const mayBeWhole =
    part.kind === 'certain' ? part.value === 'whole' : part.kind === 'doubtful' && isFills(part);
  const isTold = !mayBeWhole && page?.numbers.length !== 0;
  const sides = [leftWords, rightWords, bareHalfWords];
  const isSide = (word: string) =>
    page?.numbers.length === 2 && sides.some((words) => words.has(keyOf(word)));
  const words = [...new Set(file.unexplained)].filter((word) => !isSide(word));
  if (words.length === 0 || isTold) return { kind: 'silent' };
  const what = page === undefined ? 'a page' : `the whole page ${page.id}`;
  const rule = `nobody has explained ${quoted(words)}, so it is not taken for ${mayBeWhole ? what : `page ${page?.id}`}`;
  const letter = lettersAdvised.get(words.length === 1 ? words[0].toLowerCase() : '');
  if (letter !== undefined && mayBeWhole) {
    const once = `or say in job.yaml which part it tells: parts: { ${letter}: [${words[0].toLowerCase()}] }`;
    return { ...doubtful(rule, [], `Rename it; ${once}`), parts: anyPart };
  }
  const first = words.map((word) => word.toLowerCase()).filter((word) => word.length <= longestWord);
  const once =
    first.length === 0
      ? ''
      : `; or once for all files in job.yaml, where it means nothing: ignoreWords: [${first.join(', ')}]`;
  const advice = `Rename it${once}`;
  return mayBeWhole ? { ...doubtful(rule, [], advice), parts: anyPart } : doubtful(rule, [], advice);
}

/** What studios mean by a lone letter: to ignore it would make the line the whole page. Common practice, no published source. */
const lettersAdvised: ReadonlyMap<string, FilePart> = new Map([
  ['c', 'colour'],
  ['k', 'line'],
  ['l', 'lettering'],
]);

/** Words of the job file have at most this many letters. */
const longestWord = 32;

/** Whether the doubt is between flat fills and a flattened page, which the picture tells. */
const isFills = (part: Answer<FilePart>): boolean =>
  part.kind === 'doubtful' && part.parts?.includes('whole') === true && part.parts.includes('flats');

/** The answer that keeps a file out, the gravest first; undefined where all is certain. */
function firstDoubt(answers: readonly Answer<unknown>[]) {
  return answers.find((answer) => answer.kind === 'doubtful');
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
  const listed = page.kind === 'certain' ? words.pages.get(page.value) : undefined;
  const other = otherIssueIn([file, ...folders], words);
  const offPrint = offPrintIn(file, folders);
  const unexplained = page.kind === 'doubtful' ? page : unexplainedIn(file, listed, part);
  const silent: Answer<never> =
    page.kind === 'silent' ? doubtful('its name tells no page') : { kind: 'silent' };
  const openPart = isFills(part) ? ({ kind: 'silent' } as const) : part;
  const half = page.kind === 'certain' ? halfOf([file, ...folders], page.value, words) : page;
  const doubt = firstDoubt([other, offPrint, page, silent, half, openPart, version, unexplained]);
  if (doubt?.kind === 'doubtful') {
    const isOpen = doubt.parts !== undefined || part.kind !== 'certain';
    const open = {
      page: page.kind === 'certain' && doubt !== other ? page.value : undefined,
      pages: doubt.maybe,
      part: isOpen || part.kind !== 'certain' ? undefined : part.value,
      parts: doubt.parts ?? anyPart,
    };
    return {
      kind: doubt === offPrint ? 'off print' : 'unread',
      rule: doubt.rule,
      advice: doubt.advice,
      open,
    };
  }
  const rules = [page, part, version].flatMap((answer) => (answer.kind === 'silent' ? [] : [answer.rule]));
  if (file.unexplained.length > 0) rules.push(`whatever ${quoted(new Set(file.unexplained))} means`);
  const isWhole = part.kind === 'certain' && part.value === 'whole';
  return {
    kind: 'read',
    page: page.kind === 'certain' ? page.value : '',
    half: half.kind === 'certain' ? half.value : undefined,
    part: part.kind === 'certain' ? part.value : 'whole',
    version: version.kind === 'certain' ? version.value : undefined,
    rule: rules.join('; '),
    question: isFills(part) ? 'fills' : isWhole ? 'depth' : undefined,
  };
}
