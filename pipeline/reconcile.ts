import type { FilePart, Job, NameAssignment } from '../config/job.js';
import type { IncomingFile, LeftOutFile, Reconciliation } from './model/reconciliation.js';
import type { FileClaim } from './names/contest.js';
import { compareNaturally } from './names/incoming.js';
import { ignoreLine, openLine, pageLine } from './names/job-lines.js';
import { type PictureQuestion, readPath, versionInPath } from './names/name-reading.js';
import { type NameWords, type NamingJob, nameWords } from './names/name-words.js';
import { settlePage } from './names/settle-halves.js';

/** What reconciling needs to know of the job. */
export type ReconcileJob = NamingJob & Pick<Job, 'assignments'>;

/** What a picture says where its name leaves something open; `unclear` where it does not say it either. */
export type PictureAnswer = 'one bit' | 'flat fills' | 'a flattened page' | 'unclear';

/** Names read one by one: what they claim, and which pictures have to be looked at before that holds. */
export interface ReadNames {
  readonly job: ReconcileJob;
  readonly words: NameWords;
  readonly verdicts: readonly Verdict[];
  /** Keys of job.yaml's `names` that a file was found for. */
  readonly usedKeys: ReadonlySet<string>;
  /** File name to what its picture has to be asked. */
  readonly questions: ReadonlyMap<string, PictureQuestion>;
}

/** Extensions of the formats that working pages come in, lower case. */
const readableExtensions: readonly string[] = ['tif', 'tiff', 'png', 'jpg', 'jpeg', 'ora'];

/** What becomes of one file by itself, before it meets the others. */
type Verdict =
  | { readonly kind: 'claim'; readonly claim: FileClaim; readonly question?: PictureQuestion | undefined }
  | { readonly kind: 'unknown' | 'passedOver'; readonly file: LeftOutFile };

/** Blanks and invisible signs (direction marks, joiners) may stand behind an extension; people cannot see them. */
const extensionPattern = /\.([\p{L}\p{N}]+)[\s\p{Default_Ignorable_Code_Point}]*$/u;

const baseOf = (path: string): string => path.slice(path.lastIndexOf('/') + 1);

const unknown = (name: string, rule: string, remedy: string): Verdict => ({
  kind: 'unknown',
  file: { name, rule, remedy },
});

/** What job.yaml says about a file; `several` where it gives a bare name that files in several folders have. */
type Assigned = { readonly key: string; readonly assignment: NameAssignment; readonly several: number };

/**
 * Finds the assignment of each file: by its path, or by its name alone where no other file has that name. Names are
 * compared composed (NFC), because some systems store accents apart.
 */
function findAssignments(job: ReconcileJob, files: readonly IncomingFile[]): ReadonlyMap<string, Assigned> {
  const found = new Map<string, Assigned>();
  if (job.assignments.size === 0) return found;
  const pathsOf = new Map<string, Set<string>>();
  for (const file of files) {
    const path = file.name.normalize('NFC');
    const paths = pathsOf.get(baseOf(path)) ?? new Set();
    pathsOf.set(baseOf(path), paths.add(path));
  }
  for (const file of files) {
    const path = file.name.normalize('NFC');
    const base = baseOf(path);
    const paths = pathsOf.get(base) ?? new Set();
    const isExact = job.assignments.has(path);
    if (!isExact && paths.has(base)) continue;
    const key = isExact ? path : base;
    const assignment = job.assignments.get(key);
    if (assignment !== undefined)
      found.set(file.name, { key, assignment, several: isExact ? 1 : paths.size });
  }
  return found;
}

/** Follows job.yaml's word about a file. */
function judgeAssigned(name: string, assigned: Assigned, words: NameWords): Verdict {
  const { key, assignment, several } = assigned;
  if (several > 1) {
    const rule = `job.yaml names "${key}", and ${several} files in different folders have that name`;
    return unknown(name, rule, `Give the path from incoming/ on in job.yaml: ${againAs(name, assignment)}`);
  }
  if (assignment.kind === 'ignore') {
    return { kind: 'passedOver', file: { name, rule: 'set aside by name in job.yaml', remedy: '' } };
  }
  if (!words.pages.has(assignment.page)) {
    const rule = `job.yaml puts it on page ${assignment.page}, which is not on the page list`;
    return unknown(name, rule, `Correct the page of "${key}" in job.yaml`);
  }
  const { page, half, part, picture } = assignment;
  const version = versionInPath(withoutExtension(name), words);
  const rule = `explicit name in job.yaml${picture === undefined ? '' : `, picture ${picture}`}`;
  const claim = { name, page, ...ofHalf(half), part, version, picture, rule, isAssigned: true };
  return { kind: 'claim', claim };
}

const ofHalf = (half: number | undefined) => (half === undefined ? {} : { half });

const againAs = (name: string, assignment: NameAssignment): string =>
  assignment.kind === 'ignore'
    ? ignoreLine(name)
    : pageLine(name, String(assignment.half ?? assignment.page), assignment.part);

const withoutExtension = (name: string): string => {
  const composed = name.normalize('NFC');
  const match = extensionPattern.exec(baseOf(composed));
  return match === null ? composed : composed.slice(0, composed.length - match[0].length);
};

function extensionOf(name: string): string {
  return extensionPattern.exec(baseOf(name))?.[1].toLowerCase() ?? '';
}

/** Reads what a file claims from its name. */
function judgeByName(name: string, words: NameWords): Verdict {
  const extension = extensionOf(name);
  if (!readableExtensions.includes(extension)) {
    const what = extension === '' ? 'a name without an extension' : `.${extension}`;
    const rule = `${what} is not a format that platehand reads`;
    const remedy = `Export it as TIFF, PNG, JPEG or OpenRaster, or set it aside in job.yaml: ${ignoreLine(name)}`;
    return unknown(name, rule, remedy);
  }
  const reading = readPath(withoutExtension(name), words);
  if (reading.kind === 'read') {
    const { page, half, part, version, rule, question } = reading;
    const claim = { name, page, ...ofHalf(half), part, version, picture: undefined, rule, isAssigned: false };
    return { kind: 'claim', claim, question };
  }
  const { rule, advice, open } = reading;
  const isOffPrint = reading.kind === 'off print';
  const or = isOffPrint
    ? 'to print it all the same, say in job.yaml what it is'
    : 'or say in job.yaml what this file is';
  const remedy = `${advice}; ${or}: ${openLine(name, open, words)}`;
  return { kind: isOffPrint ? 'passedOver' : 'unknown', file: { name, rule, remedy } };
}

function judge(file: IncomingFile, assigned: Assigned | undefined, words: NameWords): Verdict {
  if (assigned?.assignment.kind === 'ignore') return judgeAssigned(file.name, assigned, words);
  if (file.bytes === 0) {
    return unknown(file.name, 'the file is empty', 'Wait until it has been copied, or copy it again');
  }
  return assigned === undefined ? judgeByName(file.name, words) : judgeAssigned(file.name, assigned, words);
}

/**
 * What names came to when the files of a job were last read: who looks at a folder again and again meets the same names. Verdicts by
 * name depend on nothing else than the name and the job.
 */
const lastVerdicts = new WeakMap<ReconcileJob, { words: NameWords; byName: Map<string, Verdict> }>();

/** Judges files by what they are called and what job.yaml says of them. */
function judgeEach(
  job: ReconcileJob,
  files: readonly IncomingFile[],
  assigned: ReadonlyMap<string, Assigned>,
): { readonly words: NameWords; readonly verdicts: readonly Verdict[] } {
  const last = lastVerdicts.get(job);
  const words = last?.words ?? nameWords(job);
  const byName = new Map<string, Verdict>();
  const verdicts = files.map((file) => {
    const { name, bytes } = file;
    if (assigned.has(name) || bytes === 0) return judge(file, assigned.get(name), words);
    const verdict = last?.byName.get(name) ?? judgeByName(name, words);
    byName.set(name, verdict);
    return verdict;
  });
  // Names that are gone are forgotten with the list they were on.
  lastVerdicts.set(job, { words, byName });
  return { words, verdicts };
}

/** What both sides of the doubt about the word flat are. */
const fillsOrPage: readonly FilePart[] = ['flats', 'whole'];

/** A claim once its picture has been looked at. Without an answer a whole page stays one, and flat fills are asked for. */
function afterLook(verdict: Verdict, answer: PictureAnswer | undefined, words: NameWords): Verdict {
  if (verdict.kind !== 'claim' || verdict.question === undefined) return verdict;
  const { claim, question } = verdict;
  const as = (part: FilePart, why: string): Verdict => {
    return { kind: 'claim', claim: { ...claim, part, rule: `${claim.rule}; ${why}` } };
  };
  if (answer === 'one bit') return as('line', 'one bit a pixel is ink or paper, so it is line');
  if (question === 'depth') return verdict;
  if (answer === 'flat fills') return as('flats', 'the picture is flat fills without line');
  if (answer === 'a flattened page') return as('whole', 'the picture is a flattened page');
  const open = { page: claim.page, pages: [], part: undefined, parts: fillsOrPage };
  const rule = `${claim.rule}, and its picture does not tell either`;
  const once = 'Say it in another word, or once for all files in job.yaml: parts: { flats: [flat] }';
  return unknown(
    claim.name,
    rule,
    `${once}; or say in job.yaml what this file is: ${openLine(claim.name, open, words)}`,
  );
}

/**
 * Reads the names of the files of incoming/, one by one and in natural order.
 * @param job issue code and number, page list, name assignments and words
 * @param files what the folder holds, litter already taken out (see incoming.ts)
 */
export function readNames(job: ReconcileJob, files: readonly IncomingFile[]): ReadNames {
  const sorted = [...files].sort((first, second) => compareNaturally(first.name, second.name));
  const assigned = findAssignments(job, sorted);
  const { words, verdicts } = judgeEach(job, sorted, assigned);
  const questions = new Map<string, PictureQuestion>();
  for (const verdict of verdicts) {
    if (verdict.kind !== 'claim' || verdict.question === undefined) continue;
    questions.set(verdict.claim.name, verdict.question);
  }
  const usedKeys = new Set([...assigned.values()].map((each) => each.key));
  return { job, words, verdicts, usedKeys, questions };
}

/**
 * Matches files to the page list by what their names claim and their pictures answer. Pure: the same names and answers
 * give the same outcome in whatever order the files are listed. Every file ends up in exactly one place: a page's files,
 * contested, superseded, unknown or passed over, each with the rule that decided.
 * @param answers by file name, for the questions that the names left open
 */
export function matchNames(read: ReadNames, answers: ReadonlyMap<string, PictureAnswer>): Reconciliation {
  const { job, words, usedKeys } = read;
  const verdicts = read.verdicts.map((verdict) =>
    verdict.kind === 'claim' ? afterLook(verdict, answers.get(verdict.claim.name), words) : verdict,
  );
  const claims = new Map<string, FileClaim[]>(job.pages.map((page) => [page.id, []]));
  for (const verdict of verdicts)
    if (verdict.kind === 'claim') claims.get(verdict.claim.page)?.push(verdict.claim);
  const settled = job.pages.map((page) => settlePage(page, claims.get(page.id) ?? []));
  const leftOut = (kind: 'unknown' | 'passedOver') =>
    verdicts.flatMap((verdict) => (verdict.kind === kind ? [verdict.file] : []));
  return {
    pages: settled.map(({ match }) => match),
    contested: settled.flatMap(({ contested }) => contested),
    superseded: settled.flatMap(({ superseded }) => superseded),
    unknown: leftOut('unknown'),
    passedOver: leftOut('passedOver'),
    unusedAssignments: [...job.assignments.keys()].filter((key) => !usedKeys.has(key)).sort(compareNaturally),
  };
}

/** Matches files by their names alone, as matchNames does where nobody can look at a picture. */
export function reconcile(job: ReconcileJob, files: readonly IncomingFile[]): Reconciliation {
  return matchNames(readNames(job, files), new Map());
}
