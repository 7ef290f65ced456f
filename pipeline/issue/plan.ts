import { PlatehandError } from '../../config/errors.js';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { FileIdentity, PageRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import type { PageMatch, Reconciliation } from '../model/reconciliation.js';
import { pageProducts } from '../outputs/products.js';
import { checkProfileVersion } from '../pdf/output-intent.js';
import { expectLook, localStore } from '../store/local-store.js';
import { readPlaced, removePlaced } from '../store/placed.js';
import type { ResultStore } from '../store/result-store.js';
import { allBesideLastGood } from './last-good.js';
import { failureOf, whileLocked } from './make-page.js';
import { type MatchedIssue, matchIssue } from './match-issue.js';
import { lookAtEach, type PageRun, pageRun, withFailure } from './page-run.js';
import { openPlanCaches, type PlanCaches } from './plan-caches.js';
import { isWorkedOn, keyedRequest, seenFiles, unhashedRequest } from './requests.js';

/** What to plan for. */
export interface PlanOptions {
  /** Ids of the pages to work on; undefined takes all. */
  readonly pages: readonly string[] | undefined;
  /** What to make; nothing only looks, and writes nothing. */
  readonly products: readonly ProductName[];
  /** Also reads the bytes of every stored result: one that somebody has written to is dropped and made anew. */
  readonly thorough?: boolean | undefined;
  /** Leaves the files of pages that have no result yet to be read by whoever works on them. */
  readonly lazily?: boolean | undefined;
  /** What a listing of just now says of the files, by name; default each is looked at. */
  readonly listed?: ReadonlyMap<string, FileIdentity> | undefined;
}

/** An issue matched against its folder: for each page what there is to do, or the result that is there already. */
export interface IssuePlan {
  readonly reconciliation: Reconciliation;
  readonly runs: readonly PageRun[];
  /** Ids of pages whose files nobody can look at just now: what stands of them stays. */
  readonly unsure: ReadonlySet<string>;
  readonly caches: PlanCaches;
}

/**
 * Matches incoming/ to the page list and finds out which pages have changed since they were last made.
 * @throws PlatehandError for an unusable profile or an unreadable folder
 */
export async function planIssue(job: Job, options: PlanOptions): Promise<IssuePlan> {
  await expectLook(job.folder);
  const caches = await openPlanCaches(job.folder);
  const matched = await matchIssue(job, caches.looks);
  // A wrong profile is told on the first day, not when the first page is ready.
  for (const { spec } of job.pages) checkProfileVersion(await caches.presses.open(spec.press), spec.pdf);
  await caches.notes.read(job);
  const planned = await planPages(job, job.pages, matched, caches, options);
  const runs = await allBesideLastGood(job, planned, await readPlaced(job.folder));
  if (options.products.length > 0) await caches.hashes.save(job.folder);
  const { reconciliation, unsure } = matched;
  return { reconciliation, runs, unsure: new Set(unsure.keys()), caches };
}

/**
 * Looks at some pages once more, because somebody else has made something of them since the issue was planned: the files and
 * the result that they have now, and nothing to do. What stands in place of a page is told by all pages (last-good.ts), not here.
 * @param pages ids; those that the page list does not have are passed over
 * @returns these pages, in reading order
 * @throws PlatehandError for an unusable profile or an unreadable folder
 */
export async function lookAgain(
  job: Job,
  pages: ReadonlySet<string>,
  caches: PlanCaches,
): Promise<readonly PageRun[]> {
  const listed = job.pages.filter(({ id }) => pages.has(id));
  await caches.notes.read(job);
  return planPages(job, listed, await matchIssue(job, caches.looks), caches, { pages: [], products: [] });
}

async function planPages(
  job: Job,
  pages: readonly IssuePage[],
  { reconciliation, unsure, listed }: MatchedIssue,
  caches: PlanCaches,
  options: PlanOptions,
): Promise<readonly PageRun[]> {
  const matches = new Map(reconciliation.pages.map((match) => [match.page, match]));
  return lookAtEach(pages, async (page) => {
    const match = matches.get(page.id);
    if (match === undefined) throw new Error(`page ${page.id} was not matched`);
    return unsure.has(page.id)
      ? unsureRun(pageRun(page, match, caches.notes.of(page.id)), unsure.get(page.id))
      : planOrFail(job, page, match, caches, { ...options, listed });
  });
}

/** A page of which only older files may be in sight is not made from those. */
function unsureRun(run: PageRun, hidden: string | undefined): PageRun {
  if (hidden === undefined) return run;
  const what = 'The page was made from this file, which cannot be looked at now; what was made of it stays';
  const remedy = 'Check who may read its folder, then run again.';
  const refusal = new PlatehandError('picture-unreadable', what, remedy, { place: { file: hidden } });
  return withFailure(run, failureOf(run.page.id, refusal));
}

/** Whether what was thrown is about a file of one page alone. */
export function isAboutFile(thrown: unknown): thrown is PlatehandError {
  return (
    thrown instanceof PlatehandError &&
    (thrown.code === 'picture-unreadable' || thrown.code === 'picture-too-large')
  );
}

/** A file that cannot be read stops its page; the others are planned all the same. */
async function planOrFail(
  job: Job,
  page: IssuePage,
  match: PageMatch,
  caches: PlanCaches,
  options: PlanOptions,
): Promise<PageRun> {
  try {
    return await planPage(job, page, match, caches, options);
  } catch (thrown) {
    if (!isAboutFile(thrown)) throw thrown;
    return withFailure(pageRun(page, match, caches.notes.of(page.id)), failureOf(page.id, thrown));
  }
}

/**
 * Finds out whether a page has to be made, by the key of what it is made from.
 * @throws PlatehandError for an unusable profile, or where a file of the page cannot be read
 */
export async function planPage(
  job: Job,
  page: IssuePage,
  match: PageMatch,
  { hashes, presses, notes }: PlanCaches,
  options: PlanOptions,
): Promise<PageRun> {
  const run = pageRun(page, match, notes.of(page.id));
  if (!isWorkedOn(match)) return run;
  const wanted = match.state === 'ready' ? options.products : options.products.filter(isForPeople);
  const store = localStore(job.folder);
  const chosen = options.pages === undefined || options.pages.includes(page.id);
  const files = await seenFiles(job, match, options.listed);
  if (options.lazily && chosen) {
    const unhashed = unhashedRequest(job, run, files, hashes, wanted);
    const isNew = unhashed !== undefined && !(await store.has(outputBaseName(job, page)));
    if (isNew) return { ...run, request: unhashed };
  }
  const press = await presses.open(page.spec.press);
  const request = await keyedRequest(job, run, files, hashes, press);
  const { baseName, key, productKeys } = request;
  if (options.thorough) await dropTampered(job, page, store, request);
  const stored = await store.find(baseName, key);
  if (!chosen) return { ...run, stored };
  if (stored !== undefined) {
    const missing = wanted.filter((product) => !stored.asked.includes(product));
    return missing.length === 0
      ? { ...run, stored }
      : { ...run, stored, request: { ...request, products: missing } };
  }
  // What a setting has not changed stands in an older result and is taken over from there.
  const standing = await store.findProducts(baseName, productKeys);
  const products = wanted.filter((product) => !standing.has(product));
  return { ...run, request: { ...request, products } };
}

/** What is made of a page that cannot print yet. */
function isForPeople(name: ProductName): boolean {
  return pageProducts[name].phase === 'proof';
}

/** A result whose bytes are not the ones that were made goes, and with it what was placed from it. */
async function dropTampered(
  job: Job,
  page: IssuePage,
  store: ResultStore,
  { baseName, key }: PageRequest,
): Promise<void> {
  const stored = await store.find(baseName, key);
  if (stored === undefined || (await store.hasOwnBytes(stored))) return;
  await whileLocked(job.folder, async () => {
    await store.remove(baseName, key);
    await removePlaced(job.folder, page.id);
  });
}
