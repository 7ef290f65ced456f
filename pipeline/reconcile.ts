import type { Job, NameAssignment } from '../config/job.js';
import type { IncomingFile, LeftOutFile, Reconciliation } from './model/reconciliation.js';
import { type FileClaim, ignoreLine, pageLine } from './names/contest.js';
import { compareNaturally } from './names/incoming.js';
import { type NameReading, readPath, versionInPath } from './names/name-reading.js';
import { type NameWords, nameWords } from './names/name-words.js';
import { settlePage } from './names/settle-halves.js';

/** What reconciling needs to know of the job. */
export type ReconcileJob = Pick<Job, 'issue' | 'number' | 'pages' | 'assignments' | 'partWords'>;

/** Extensions of the formats that working pages come in, lower case. */
const readableExtensions: readonly string[] = ['tif', 'tiff', 'png', 'jpg', 'jpeg', 'ora'];

/** What becomes of one file by itself, before it meets the others. */
type Verdict =
  | { readonly kind: 'claim'; readonly claim: FileClaim }
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

/** What job.yaml can say about a file whose name is not certain, with the first page that it may be as an example. */
function lineFor(name: string, reading: NameReading & { kind: 'unread' }, words: NameWords): string {
  const { maybe, part } = reading;
  const [example] = maybe.length > 0 ? maybe : [...words.pages.keys()];
  const which = maybe.length > 1 ? `which page it is, ${maybe.join(' or ')}` : 'which page it is';
  return `${which}${maybe.length === 1 ? '' : ', such as'}: ${pageLine(name, example ?? '1', part)}`;
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
    const { page, half, part, version, rule } = reading;
    const claim = { name, page, ...ofHalf(half), part, version, picture: undefined, rule, isAssigned: false };
    return { kind: 'claim', claim };
  }
  return unknown(
    name,
    reading.rule,
    `${reading.advice}, or say in job.yaml ${lineFor(name, reading, words)}`,
  );
}

function judge(file: IncomingFile, assigned: Assigned | undefined, words: NameWords): Verdict {
  if (assigned?.assignment.kind === 'ignore') return judgeAssigned(file.name, assigned, words);
  if (file.bytes === 0) {
    return unknown(file.name, 'the file is empty', 'Wait until it has been copied, or copy it again');
  }
  return assigned === undefined ? judgeByName(file.name, words) : judgeAssigned(file.name, assigned, words);
}

/**
 * Matches the files of incoming/ to the page list by their names. Pure: the same job and files give the same outcome
 * in whatever order the files are listed. Every file ends up in exactly one place: a page's files, contested,
 * superseded, unknown or passed over, each with the rule that decided.
 *
 * @param job issue code and number, page list, name assignments and part words
 * @param files what the folder holds, litter already taken out (see incoming.ts)
 */
export function reconcile(job: ReconcileJob, files: readonly IncomingFile[]): Reconciliation {
  const words = nameWords(job);
  const sorted = [...files].sort((first, second) => compareNaturally(first.name, second.name));
  const assigned = findAssignments(job, sorted);
  const verdicts = sorted.map((file) => judge(file, assigned.get(file.name), words));
  const claims = new Map<string, FileClaim[]>(job.pages.map((page) => [page.id, []]));
  for (const verdict of verdicts)
    if (verdict.kind === 'claim') claims.get(verdict.claim.page)?.push(verdict.claim);
  const settled = job.pages.map((page) => settlePage(page, claims.get(page.id) ?? []));
  const leftOut = (kind: 'unknown' | 'passedOver') =>
    verdicts.flatMap((verdict) => (verdict.kind === kind ? [verdict.file] : []));
  const used = new Set([...assigned.values()].map((each) => each.key));
  return {
    pages: settled.map(({ match }) => match),
    contested: settled.flatMap(({ contested }) => contested),
    superseded: settled.flatMap(({ superseded }) => superseded),
    unknown: leftOut('unknown'),
    passedOver: leftOut('passedOver'),
    unusedAssignments: [...job.assignments.keys()].filter((key) => !used.has(key)).sort(compareNaturally),
  };
}
