import { join, resolve } from 'node:path';
import { zoneOfTime } from './calendar-day.js';
import { messageOf, PlatehandError } from './errors.js';
import { type ExtraInk, partWritten } from './extra-ink.js';
import {
  type FileKind,
  fileKinds,
  type IssuePage,
  type Job,
  type NameAssignment,
  type Part,
  parts,
  type Scene,
} from './job.js';
import { deliveryDefaults } from './job-file/delivery-naming.js';
import { extraInkDefaults } from './job-file/extra-ink-schema.js';
import { type Draft, draftOf } from './job-file/job-draft.js';
import { type FoundProblem, JobInvalidError, type JobProblem, jobFileName } from './job-file/job-problem.js';
import { jobRuleProblems } from './job-file/job-rules.js';
import { type JobFile, jobFileSchema } from './job-file/job-schema.js';
import { readJobYaml } from './job-file/job-yaml.js';
import { expandPages, findPage, spreadWith } from './job-file/page-list.js';
import type { ListedPage } from './job-file/page-schema.js';
import { partWordsWith } from './job-file/part-words.js';
import { printDefaults } from './job-file/print-defaults.js';
import { type CompleteSettings, mergeSettings, resolveSpec } from './job-file/resolve-spec.js';
import { isMapping, schemaAt, shapeProblems } from './job-file/shape-problems.js';
import { swatchOf } from './job-file/swatch-rules.js';
import type { PrintSpec } from './print-spec.js';
import { NotAFileError, readRegular, TooManyBytesError } from './regular-file.js';

const defaultFiles: readonly FileKind[] = deliveryDefaults.files;

/** A page list of hundreds of pages has some 20 KB, one of two thousand with a name line each 200; a file beyond this is something else. */
const largestJobFileBytes = 256 * 1024;

/**
 * Reads and checks the job.yaml of a job folder.
 *
 * @param folder the job folder, absolute or relative to the working folder
 * @throws PlatehandError `job-missing` without folder or job.yaml, `job-unreadable` when it cannot be read as UTF-8 text
 *   of at most 256 KB; JobInvalidError (`job-invalid`) with every mistake in it
 */
export async function loadJob(folder: string): Promise<Job> {
  const path = join(folder, jobFileName);
  const bytes = await readBounded(path, folder);
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch (cause) {
    throw unreadable(path, 'is not UTF-8 text', 'Save it as UTF-8 in your editor.', cause);
  }
  return parseJob(text, folder);
}

/**
 * The same from text, without the disk.
 *
 * @param text of a job.yaml; a byte order mark is passed over
 * @param folder the job folder, from which paths to profiles start
 * @throws JobInvalidError (`job-invalid`) with every mistake in it
 */
export function parseJob(text: string, folder: string): Job {
  const yaml = readJobYaml(text);
  if (yaml.broken) throw new JobInvalidError(inOrder(yaml.problems));
  const tree = withoutEmptySections(yaml.tree);
  const parsed = jobFileSchema.safeParse(tree);
  const entries = draftOf(tree);
  const listed = expandPages(entries.pages.entries.map(({ value, at }) => ({ entry: value, at })));
  const isWhole = entries.pages.isWhole && listed.isWhole;
  const draft: Draft = { ...entries, pages: { ...entries.pages, isWhole } };
  const found: FoundProblem[] = [
    ...(parsed.success ? [] : shapeProblems(parsed.error.issues, tree)),
    ...listed.problems,
    ...jobRuleProblems(draft, listed.pages),
  ];
  const problems = inOrder([...yaml.problems, ...found.map(yaml.locate)]);
  if (!parsed.success || problems.length > 0) throw new JobInvalidError(problems);
  return assemble(parsed.data, draft, listed.pages, resolve(folder));
}

/** By place in the file; what was found twice (a base setting, once for every kind) stands there once. */
function inOrder(problems: readonly JobProblem[]): JobProblem[] {
  const byText = new Map(
    problems.map((problem) => [`${problem.line}:${problem.column}:${problem.message}`, problem]),
  );
  return [...byText.values()].toSorted((a, b) => a.line - b.line || a.column - b.column);
}

/** A section whose entries are all commented out means the same as none, unless the job needs it. */
function withoutEmptySections(tree: unknown): unknown {
  if (!isMapping(tree)) return tree;
  const required = schemaAt([])?.required;
  const isNeeded = (key: string) => Array.isArray(required) && required.includes(key);
  return Object.fromEntries(Object.entries(tree).filter(([key, value]) => value !== null || isNeeded(key)));
}

function assemble(file: JobFile, draft: Draft, listed: readonly ListedPage[], folder: string): Job {
  const heldReasons = new Map(file.held?.map((held) => [findPage(listed, held.page), held.reason]));
  const specOf = specsOf(file, folder);
  return {
    folder,
    issue: file.issue,
    title: file.title,
    number: file.number,
    due: file.due,
    units: file.units,
    pages: listed.map((page) => issuePage(page, heldReasons.get(page), specOf(page))),
    scenes: (file.scenes ?? []).map(sceneOf),
    assignments: new Map(
      draft.names.entries.map(({ key, value }) => [key.normalize('NFC'), assignmentOf(value, listed)]),
    ),
    partWords: partWordsWith(file.parts ?? {}, file.extraInks),
    extraInks: (file.extraInks ?? []).map(extraInkOf),
    swatches: (file.swatches ?? []).map(swatchOf),
    codes: file.codes ?? [],
    letters: Object.fromEntries(
      Object.entries(file.letters ?? {}).map(([letter, part]) => [letter.toLowerCase(), part]),
    ),
    ignoreWords: file.ignoreWords ?? [],
    naming: file.print.naming ?? printDefaults.naming,
    issuePdf: file.print.issuePdf ?? printDefaults.issuePdf,
    delivery: {
      naming: file.delivery?.naming ?? deliveryDefaults.naming,
      needs: file.delivery?.needs ?? deliveryDefaults.needs,
      files: fileKinds.filter((kind) => (file.delivery?.files ?? defaultFiles).includes(kind)),
      timeZone: file.delivery?.timeZone ?? (file.due === undefined ? undefined : zoneOfTime(file.due)),
    },
  };
}

/** The print spec of each page. Pages with the same settings share one: an issue has up to 2,000, and a spec some hundred settings. */
function specsOf(file: JobFile, folder: string): (page: ListedPage) => PrintSpec {
  const { naming: _, issuePdf: __, ...base } = file.print;
  const known = new Map<unknown, Map<string, PrintSpec>>();
  return ({ kind, isSpread, entry }) => {
    const alike = known.get(entry.print) ?? new Map<string, PrintSpec>();
    const name = `${kind} ${isSpread}`;
    const own = file.kinds !== undefined && Object.hasOwn(file.kinds, kind) ? file.kinds[kind] : undefined;
    // The base is complete, so what is laid over it is complete too.
    const settings = () => mergeSettings([base, own, entry.print]) as CompleteSettings;
    const spec = alike.get(name) ?? resolveSpec(settings(), { unit: file.units, folder, isSpread });
    known.set(entry.print, alike.set(name, spec));
    return spec;
  };
}

function issuePage(page: ListedPage, heldReason: string | undefined, spec: PrintSpec): IssuePage {
  const { needs } = page.entry;
  return {
    id: page.id,
    kind: page.kind,
    numbers: page.numbers,
    aliases: page.aliases,
    scene: page.entry.scene,
    needs: needs === undefined ? undefined : [...new Set(needs)].map((word) => partWritten(word, isPart)),
    heldReason,
    accepted: { ...page.entry.accept },
    register: { line: page.entry.register?.line ?? 'off' },
    clean: page.entry.clean ?? 'off',
    spec,
  };
}

function assignmentOf(
  value: Draft['names']['entries'][number]['value'],
  listed: readonly ListedPage[],
): NameAssignment {
  if (value === 'ignore') return { kind: 'ignore' };
  const spread = spreadWith(listed, value.page);
  const page = findPage(listed, value.page)?.id ?? spread?.id ?? value.page;
  const half = spread === undefined ? {} : { half: Number(value.page) };
  const part = partWritten(value.part ?? 'whole', (word) => word === 'whole' || isPart(word));
  return { kind: 'page', page, ...half, part, picture: value.picture };
}

function isPart(word: string): word is Part {
  return (parts as readonly string[]).includes(word);
}

/** An extra ink with its defaults filled in. */
function extraInkOf({
  id,
  name,
  shownAs,
  bits,
  ...more
}: NonNullable<JobFile['extraInks']>[number]): ExtraInk {
  return {
    id,
    name: name ?? id,
    shownAs,
    bits: bits === 1 ? 1 : extraInkDefaults.bits,
    overprints: more.overprints ?? extraInkDefaults.overprints,
    inTotal: more.inTotal ?? extraInkDefaults.inTotal,
  };
}

/** The bytes of job.yaml. */
async function readBounded(path: string, folder: string): Promise<Uint8Array> {
  try {
    return await readRegular(path, largestJobFileBytes);
  } catch (thrown) {
    if (thrown instanceof NotAFileError) {
      throw unreadable(path, 'is not a file', 'Put a job.yaml in its place.');
    }
    if (thrown instanceof TooManyBytesError) {
      throw unreadable(
        path,
        `is larger than 256 KB (${thrown.bytes} bytes)`,
        'Check that it is the right file.',
      );
    }
    throw notRead(thrown, path, folder);
  }
}

function notRead(thrown: unknown, path: string, folder: string): PlatehandError {
  const code = isMapping(thrown) ? thrown.code : undefined;
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    const remedy = `Run: platehand new ${JSON.stringify(folder)}, or name another folder.`;
    return new PlatehandError('job-missing', `There is no ${jobFileName} in ${folder}`, remedy, {
      cause: thrown,
    });
  }
  const what =
    code === 'EACCES' || code === 'EPERM'
      ? 'may not be read by you'
      : `cannot be read (${messageOf(thrown)})`;
  return unreadable(path, what, 'Check its permissions and that its disk is there.', thrown);
}

function unreadable(path: string, what: string, remedy: string, cause?: unknown): PlatehandError {
  return new PlatehandError('job-unreadable', `${path} ${what}`, remedy, { cause });
}

function sceneOf({ id, title, setOff }: NonNullable<JobFile['scenes']>[number]): Scene {
  return { id, title: title ?? id, ...(setOff === true ? { setOff } : {}) };
}
