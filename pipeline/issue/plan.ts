import { join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { identityOf } from '../files/file-identity.js';
import type { FileIdentity, UnhashedFile, UnhashedRequest } from '../model/page-request.js';
import type { Product } from '../model/page-result.js';
import type { MatchedFile, PageMatch, Reconciliation } from '../model/reconciliation.js';
import { type IncomingListing, isHidden, listIncoming } from '../names/incoming.js';
import { type KeyedRequest, pageKey } from '../page/page-key.js';
import { unreadable } from '../read.js';
import { reconcile } from '../reconcile.js';
import { FileHashes } from '../store/file-hashes.js';
import { removePlaced } from '../store/placed.js';
import { discardResultFolder, findResult, hasOwnBytes, hasResults } from '../store/results.js';
import { failureOf, whileLocked } from './make-page.js';
import { Presses } from './press-cache.js';
import type { PageRun } from './report.js';
import { unsurePages } from './unsure-pages.js';

/** What to plan for. */
export interface PlanOptions {
  /** Ids of the pages to work on; undefined takes all. */
  readonly pages: readonly string[] | undefined;
  /** What to make; nothing only looks, and writes nothing. */
  readonly products: readonly Product[];
  /** Also reads the bytes of every stored result: one that somebody has written to is dropped and made anew. */
  readonly thorough?: boolean | undefined;
  /** Leaves the files of pages that have no result yet to be read by whoever works on them. */
  readonly lazily?: boolean | undefined;
}

/** An issue matched against its folder: for each page what there is to do, or the result that is there already. */
export interface IssuePlan {
  readonly reconciliation: Reconciliation;
  readonly runs: readonly PageRun[];
  /** Ids of pages whose files nobody can look at just now: what stands of them stays. */
  readonly unsure: ReadonlySet<string>;
  /** Checksums of working files: what the work brings to light may be added. */
  readonly hashes: FileHashes;
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
  const unsure = await unsureOf(job, reconciliation, listing);
  const runs: PageRun[] = [];
  for (const [index, page] of job.pages.entries()) {
    const match = reconciliation.pages[index];
    const isUnsure = unsure.has(page.id);
    runs.push(
      isUnsure
        ? unsureRun(page, match, unsure.get(page.id))
        : await planOrFail(job, page, match, shelves, options),
    );
  }
  if (options.products.length > 0) await shelves.hashes.save(job.folder);
  return { reconciliation, runs, unsure: new Set(unsure.keys()), hashes: shelves.hashes };
}

/**
 * Matches what incoming/ holds to the page list. What was skipped while listing is passed over; what could not be looked
 * at is told with the unknown files, and where pages lack something.
 */
export function matchListing(job: Job, { files, skipped, hidden }: IncomingListing): Reconciliation {
  const matched = reconcile(job, files);
  const passedOver = [...matched.passedOver, ...skipped];
  if (hidden.length === 0) return { ...matched, passedOver };
  const where = hidden.map(({ name }) => name).join(', ');
  const pages = matched.pages.map((match) =>
    match.state === 'missing' ? { ...match, rule: `${match.rule}, unless it is in ${where}` } : match,
  );
  return { ...matched, pages, passedOver, unknown: [...matched.unknown, ...hidden] };
}

async function unsureOf(job: Job, { pages }: Reconciliation, { hidden }: IncomingListing) {
  const names = hidden.map(({ name }) => name);
  return names.length === 0
    ? new Map<string, string | undefined>()
    : unsurePages(job, pages, (name) => isHidden(name, names));
}

/** A page of which only older files may be in sight is not made from those. */
function unsureRun(page: IssuePage, match: PageMatch, hidden: string | undefined): PageRun {
  const run = emptyRun(page, match);
  if (hidden === undefined) return run;
  const what = 'The page was made from this file, which cannot be looked at now; what was made of it stays';
  const remedy = 'Check who may read its folder, then run again.';
  const refusal = new PlatehandError('picture-unreadable', what, remedy, { place: { file: hidden } });
  return { ...run, failure: failureOf(page.id, refusal) };
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
  const unread = options.lazily ? await unreadRequest(job, page, match.files, hashes, options) : undefined;
  if (unread !== undefined) return { ...run, request: unread };
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

/** The request for a page without any result; undefined where it has one, or where its files have been read before. */
async function unreadRequest(
  job: Job,
  page: IssuePage,
  matched: readonly MatchedFile[],
  hashes: FileHashes,
  { pages, products }: PlanOptions,
): Promise<UnhashedRequest | undefined> {
  const baseName = outputBaseName(job, page);
  if (pages !== undefined && !pages.includes(page.id)) return undefined;
  if (await hasResults(job.folder, baseName)) return undefined;
  const files: UnhashedFile[] = [];
  const allSeen: FileIdentity[] = [];
  for (const { name, path, part, version, picture } of printingFiles(job, matched)) {
    const seen = await identityOf(path).catch((thrown: unknown) => {
      throw unreadable(name, thrown);
    });
    allSeen.push(seen);
    files.push({ path, name, part, version, picture, bytes: seen.bytes, sha256: undefined });
  }
  if (files.every(({ path }, i) => hashes.without(path, allSeen[i]) !== undefined)) return undefined;
  const date = dateOf(allSeen);
  const shared = { ...frameOf(job, page), files, baseName, date };
  return { ...shared, key: undefined, products, seen: allSeen, outFolder: undefined };
}

async function keyedRequest(
  job: Job,
  page: IssuePage,
  matched: readonly MatchedFile[],
  hashes: FileHashes,
): Promise<{ keyed: KeyedRequest; seen: FileIdentity[] }> {
  const files: KeyedRequest['files'][number][] = [];
  const allSeen: FileIdentity[] = [];
  for (const { name, path, part, version, picture } of printingFiles(job, matched)) {
    const { bytes, sha256, seen } = await hashes.of(path).catch((thrown: unknown) => {
      throw unreadable(name, thrown);
    });
    allSeen.push(seen);
    files.push({ path, name, part, version, picture, bytes, sha256 });
  }
  const baseName = outputBaseName(job, page);
  return { keyed: { ...frameOf(job, page), files, baseName, date: dateOf(allSeen) }, seen: allSeen };
}

/** Flats are work in progress: nothing that prints depends on them. */
function printingFiles(job: Job, matched: readonly MatchedFile[]) {
  const printing = matched.flatMap(({ part, ...file }) => (part === 'flats' ? [] : [{ ...file, part }]));
  return printing.map((file) => ({ ...file, path: join(job.folder, 'incoming', file.name) }));
}

/** What a page's request holds besides its files. */
function frameOf({ issue, title, units, partWords }: Job, page: IssuePage) {
  return { issue, title, units, page, partWords };
}

/** The day of the newest working file. */
function dateOf(seen: readonly FileIdentity[]): string {
  return new Date(Math.max(0, ...seen.map(({ mtimeMs }) => mtimeMs))).toISOString().slice(0, 10);
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
