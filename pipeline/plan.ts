import { join } from 'node:path';
import { exitCode, messageOf, PlatehandError } from '../config/errors.js';
import type { IssuePage, Job } from '../config/job.js';
import { outputBaseName } from '../config/job-file/naming.js';
import { type IncomingListing, listIncoming } from './names/incoming.js';
import type { Product } from './page-result.js';
import { reconcile } from './reconcile.js';
import type { MatchedFile, PageMatch, Reconciliation } from './reconciliation.js';
import type { PageRun } from './report/issue-report.js';
import { FileHashes, type FileIdentity } from './work/file-hashes.js';
import { type KeyedRequest, pageKey } from './work/page-key.js';
import { failureOf, whileLocked } from './work/page-work.js';
import { removePlaced } from './work/placed.js';
import { Presses } from './work/presses.js';
import { discardResultFolder, findResult, hasOwnBytes } from './work/results.js';

/** What to plan for. */
export interface PlanOptions {
  /** Ids of the pages to work on; undefined takes all. */
  readonly pages: readonly string[] | undefined;
  /** What to make; nothing only looks, and writes nothing. */
  readonly products: readonly Product[];
  /** Also reads the bytes of every stored result: one that somebody has written to is dropped and made anew. */
  readonly thorough?: boolean | undefined;
}

/** An issue matched against its folder: for each page what there is to do, or the result that is there already. */
export interface IssuePlan {
  readonly reconciliation: Reconciliation;
  readonly runs: readonly PageRun[];
}

/** What planning looks things up in; kept from one look to the next by who looks often. */
export interface Shelves {
  readonly hashes: FileHashes;
  readonly presses: Presses;
}

/**
 * Matches incoming/ to the page list and finds out which pages have changed since they were last made.
 * @throws PlatehandError for an unusable profile or an unreadable folder
 */
export async function planIssue(job: Job, options: PlanOptions): Promise<IssuePlan> {
  const listing = await listIncoming(join(job.folder, 'incoming'));
  const reconciliation = matchListing(job, listing);
  const shelves = { hashes: await FileHashes.open(job.folder), presses: new Presses() };
  // A wrong profile is told on the first day, not when the first page is ready.
  for (const { spec } of job.pages) await shelves.presses.open(spec.press);
  const runs: PageRun[] = [];
  for (const [index, page] of job.pages.entries()) {
    runs.push(await planOrFail(job, page, reconciliation.pages[index], shelves, options));
  }
  if (options.products.length > 0) await shelves.hashes.save(job.folder);
  return { reconciliation, runs };
}

/** Matches what incoming/ holds to the page list; what was skipped while listing is passed over. */
export function matchListing(job: Job, { files, skipped }: IncomingListing): Reconciliation {
  const matched = reconcile(job, files);
  return { ...matched, passedOver: [...matched.passedOver, ...skipped] };
}

/** A file that cannot be read stops its page; the others are planned all the same. */
async function planOrFail(
  job: Job,
  page: IssuePage,
  match: PageMatch,
  shelves: Shelves,
  options: PlanOptions,
): Promise<PageRun> {
  try {
    return await planPage(job, page, match, shelves, options);
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError) || thrown.code !== 'picture-unreadable') throw thrown;
    return { ...emptyRun(page, match), failure: failureOf(page.id, thrown) };
  }
}

function emptyRun(page: IssuePage, match: PageMatch): PageRun {
  return { page, match, request: undefined, stored: undefined, inspected: undefined, failure: undefined };
}

/**
 * Finds out whether a page has to be made, by the key of what it is made from.
 * @throws PlatehandError for an unusable profile, or where a file of the page cannot be read
 */
export async function planPage(
  job: Job,
  page: IssuePage,
  match: PageMatch,
  { hashes, presses }: Shelves,
  options: PlanOptions,
): Promise<PageRun> {
  const run = emptyRun(page, match);
  if (match.state !== 'ready') return run;
  const { keyed, seen } = await keyedRequest(job, page, match.files, hashes);
  const key = pageKey(keyed, await presses.open(page.spec.press));
  if (options.thorough) await dropTampered(job, page, keyed.baseName, key);
  const stored = await findResult(job.folder, keyed.baseName, key);
  const chosen = options.pages === undefined || options.pages.includes(page.id);
  const isDone = stored !== undefined && options.products.every((product) => stored.asked.includes(product));
  if (!chosen || isDone) return { ...run, stored };
  const toMake = options.products.filter((product) => !stored?.asked.includes(product));
  return { ...run, stored, request: { ...keyed, key, products: toMake, seen, outFolder: undefined } };
}

async function keyedRequest(
  job: Job,
  page: IssuePage,
  matched: readonly MatchedFile[],
  hashes: FileHashes,
): Promise<{ keyed: KeyedRequest; seen: FileIdentity[] }> {
  const files: KeyedRequest['files'][number][] = [];
  const allSeen: FileIdentity[] = [];
  let newestMs = 0;
  for (const { name, part, version, picture } of matched) {
    // Flats are work in progress: nothing that prints depends on them.
    if (part === 'flats') continue;
    const path = join(job.folder, 'incoming', name);
    const { bytes, sha256, mtimeMs, seen } = await hashes.of(path).catch((thrown: unknown) => {
      throw unreadable(name, thrown);
    });
    allSeen.push(seen);
    newestMs = Math.max(newestMs, mtimeMs);
    files.push({ path, name, part, version, picture, bytes, sha256 });
  }
  const { issue, title, units, partWords } = job;
  const baseName = outputBaseName(job, page);
  const date = new Date(newestMs).toISOString().slice(0, 10);
  return { keyed: { issue, title, units, page, partWords, files, baseName, date }, seen: allSeen };
}

/** A result whose bytes are not the ones that were made goes, and with it what was placed from it. */
async function dropTampered(job: Job, page: IssuePage, baseName: string, key: string): Promise<void> {
  const stored = await findResult(job.folder, baseName, key);
  if (stored === undefined || (await hasOwnBytes(stored))) return;
  await whileLocked(job.folder, async () => {
    await discardResultFolder(stored.folder);
    await removePlaced(job.folder, page.id);
  });
}

function unreadable(name: string, thrown: unknown): PlatehandError {
  const cause = thrown instanceof PlatehandError ? thrown.cause : thrown;
  const { code = '' } = (cause ?? {}) as NodeJS.ErrnoException;
  const what = unreadableReasons[code] ?? `The file cannot be read: ${messageOf(cause)}`;
  return new PlatehandError(
    'picture-unreadable',
    what,
    'Make it readable, or drop it again, then run again.',
    {
      place: { file: name },
      exitCode: exitCode.attention,
      cause,
    },
  );
}

const unreadableReasons: Readonly<Record<string, string>> = {
  EACCES: 'You may not read this file',
  EPERM: 'You may not read this file',
  ENOENT: 'The file went away before it could be read',
};
