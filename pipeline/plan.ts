import { join } from 'node:path';
import type { IssuePage, Job } from '../config/job.js';
import { outputBaseName } from '../config/job-file/naming.js';
import { type IncomingListing, listIncoming } from './names/incoming.js';
import type { Product } from './page-result.js';
import { reconcile } from './reconcile.js';
import type { MatchedFile, PageMatch, Reconciliation } from './reconciliation.js';
import type { PageRun } from './report/issue-report.js';
import { FileHashes, type FileIdentity } from './work/file-hashes.js';
import { type KeyedRequest, pageKey } from './work/page-key.js';
import { Presses } from './work/presses.js';
import { findResult } from './work/results.js';

/** What to plan for. */
export interface PlanOptions {
  /** Ids of the pages to work on; undefined takes all. */
  readonly pages: readonly string[] | undefined;
  /** What to make; nothing only looks, and writes nothing. */
  readonly products: readonly Product[];
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
  const runs: PageRun[] = [];
  for (const [index, page] of job.pages.entries()) {
    runs.push(await planPage(job, page, reconciliation.pages[index], shelves, options));
  }
  if (options.products.length > 0) await shelves.hashes.save(job.folder);
  return { reconciliation, runs };
}

/** Matches what incoming/ holds to the page list; what was skipped while listing is passed over. */
export function matchListing(job: Job, { files, skipped }: IncomingListing): Reconciliation {
  const matched = reconcile(job, files);
  return { ...matched, passedOver: [...matched.passedOver, ...skipped] };
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
  const run = {
    page,
    match,
    request: undefined,
    stored: undefined,
    inspected: undefined,
    failure: undefined,
  };
  if (match.state !== 'ready') return run;
  const { keyed, newestMs, seen } = await keyedRequest(job, page, match.files, hashes);
  const key = pageKey(keyed, await presses.open(page.spec.press));
  const stored = await findResult(job.folder, keyed.baseName, key);
  const chosen = options.pages === undefined || options.pages.includes(page.id);
  const isDone = stored !== undefined && options.products.every((product) => stored.asked.includes(product));
  if (!chosen || isDone) return { ...run, stored };
  const toMake = options.products.filter((product) => !stored?.asked.includes(product));
  const date = new Date(newestMs).toISOString().slice(0, 10);
  return { ...run, stored, request: { ...keyed, key, date, products: toMake, seen, outFolder: undefined } };
}

async function keyedRequest(
  job: Job,
  page: IssuePage,
  matched: readonly MatchedFile[],
  hashes: FileHashes,
): Promise<{ keyed: KeyedRequest; newestMs: number; seen: FileIdentity[] }> {
  const files: KeyedRequest['files'][number][] = [];
  const allSeen: FileIdentity[] = [];
  let newestMs = 0;
  for (const { name, part, version, picture } of matched) {
    // Flats are work in progress: nothing that prints depends on them.
    if (part === 'flats') continue;
    const path = join(job.folder, 'incoming', name);
    const { bytes, sha256, mtimeMs, seen } = await hashes.of(path);
    allSeen.push(seen);
    newestMs = Math.max(newestMs, mtimeMs);
    files.push({ path, name, part, version, picture, bytes, sha256 });
  }
  const { issue, title, units, partWords } = job;
  const baseName = outputBaseName(job, page);
  return { keyed: { issue, title, units, page, partWords, files, baseName }, newestMs, seen: allSeen };
}
