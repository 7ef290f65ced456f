import type { Job } from '../../config/job.js';
import { isPlain } from '../model/page-kinds.js';
import type { PageResult, Product } from '../model/page-result.js';
import { products } from '../model/page-result.js';
import { defaultJobs, pagePixels } from '../runner/page-cost.js';
import { openPagePool } from '../runner/page-pool.js';
import type { PageRunner } from '../runner/page-runner.js';
import { Scheduler } from '../runner/scheduler.js';
import type { FileHashes } from '../store/file-hashes.js';
import { overtakenPages, type PlacedFiles, placeResult, readPlaced, removePlaced } from '../store/placed.js';
import { failureOf, makePage, whileLocked } from './make-page.js';
import { type IssuePlan, planIssue } from './plan.js';
import { type IssueReport, type PageRun, reportOf } from './report.js';
import { updateContactSheet } from './sheet-update.js';

/** What a run tells while it goes on. */
export type RunEvent =
  | { readonly kind: 'planned'; readonly toDo: readonly string[]; readonly unchanged: readonly string[] }
  | { readonly kind: 'started'; readonly page: string }
  | { readonly kind: 'finished'; readonly page: string; readonly result: PageResult }
  | { readonly kind: 'failed'; readonly page: string; readonly message: string };

export interface RunOptions {
  /** Ids of the pages to work on; default all. */
  readonly pages?: readonly string[];
  /** What to make; default everything. An empty list only looks: nothing is written. */
  readonly products?: readonly Product[];
  /** Reads every stored result again, so that a file somebody has written to by hand is made anew. Default no. */
  readonly thorough?: boolean;
  /** Pages worked on at the same time, 1 or more; default defaultJobs(). */
  readonly jobs?: number;
  /** Pixels in hand at most, over all pages; default defaultPixelBudget(), what fits into half of the machine's memory. */
  readonly pixelBudget?: number;
  readonly onEvent?: (event: RunEvent) => void;
  /** Who prepares the pages; default a pool of processes that is closed at the end. */
  readonly runner?: PageRunner;
  /** Is given the contact sheet that belongs to the report, as PNG: its file may be drawn anew at any time. */
  readonly onContactSheet?: (png: Uint8Array) => void;
  /** Ends the run early: pages not yet finished are left out. */
  readonly signal?: AbortSignal;
}

/**
 * Runs an issue: matches incoming/ to the page list, prepares every page that is ready and has changed, puts its
 * outputs into place, and draws the contact sheet. Pages that are missing, contested or held are reported.
 * @throws PlatehandError for troubles of the whole job (folder, profile); troubles of a page are findings on it
 */
export async function runIssue(job: Job, options: RunOptions = {}): Promise<IssueReport> {
  const wanted = options.products ?? products;
  const { pages, thorough } = options;
  const before = await readPlaced(job.folder);
  const plan = await planIssue(job, { pages, products: wanted, thorough, lazily: !thorough });
  const work = plan.runs.filter((run) => run.request !== undefined);
  const toDo = work.map((run) => run.page.id);
  const isMade = (run: PageRun) => run.stored !== undefined && run.request === undefined;
  const unchanged = plan.runs.filter(isMade).map((run) => run.page.id);
  options.onEvent?.({ kind: 'planned', toDo, unchanged });
  const allPlain = work.every(({ request }) => isPlain(request?.files ?? []));
  const openPool = () => openPagePool(jobsFor(work, options), allPlain);
  const runner = work.length === 0 ? undefined : (options.runner ?? openPool());
  try {
    if (runner !== undefined) await workThrough(job, work, runner, options);
    for (const run of work) learnChecksums(run, plan.hashes);
    const reportOn = (runs: readonly PageRun[]) => reportOf(job, plan.reconciliation, runs, toDo);
    if (wanted.length === 0) return { ...reportOn(plan.runs), contactSheet: undefined };
    await plan.hashes.save(job.folder);
    const { report, sheet } = await whileLocked(job.folder, async () => {
      const runs = await placeAll(job, plan, before);
      const report = reportOn(runs);
      return { report, sheet: await updateContactSheet(job, report, runs, runner?.drawSheet) };
    });
    options.onContactSheet?.(sheet.png);
    return { ...report, contactSheet: sheet.path };
  } finally {
    if (options.runner === undefined) await runner?.close();
  }
}

function jobsFor(work: readonly PageRun[], { jobs }: RunOptions): number {
  return Math.max(1, Math.min(jobs ?? defaultJobs(), work.length));
}

/** What was read for the first time need not be read again to know it. */
function learnChecksums({ request, stored }: PageRun, hashes: FileHashes): void {
  if (request === undefined || request.key !== undefined || stored === undefined) return;
  for (const [i, { path }] of request.files.entries()) {
    hashes.learn(path, request.seen[i], stored.result.used[i].sha256);
  }
}

async function workThrough(
  job: Job,
  work: readonly PageRun[],
  runner: PageRunner,
  options: RunOptions,
): Promise<void> {
  const { pixelBudget, signal } = options;
  // Where pages are larger than usual, or --jobs asks for more than there is memory, fewer are in flight.
  const scheduler = new Scheduler({ jobs: jobsFor(work, options), pixelBudget });
  const one = async (run: PageRun) => {
    if (run.request === undefined) return;
    // Without a rank, pages begin in the order of the page list.
    const pixels = pagePixels(run.request);
    await scheduler.add({ rank: [], pixels, signal }, () => workOn(job, run, runner, options));
  };
  await Promise.all(work.map(one));
}

/** Prepares one page. Whatever goes wrong stays on this page. */
async function workOn(
  job: Job,
  run: PageRun,
  runner: PageRunner,
  { onEvent, signal }: Pick<RunOptions, 'onEvent' | 'signal'>,
): Promise<void> {
  const { request, page } = run;
  if (request === undefined) return;
  onEvent?.({ kind: 'started', page: page.id });
  try {
    const { result, stored } = await makePage(job, request, runner, { signal });
    if (stored === undefined) run.inspected = result;
    else run.stored = stored;
    onEvent?.({ kind: 'finished', page: page.id, result });
  } catch (thrown) {
    if (signal?.aborted) return;
    run.failure = failureOf(page.id, thrown);
    onEvent?.({ kind: 'failed', page: page.id, message: run.failure.message });
  }
}

/** A disk that refuses to write says nothing about the page, and taking files away may be refused as well. */
function isDiskFailure({ failure }: PageRun): boolean {
  return failure?.code === 'write-failed' || failure?.code === 'lock-held';
}

/**
 * Brings everything into place that this run knows of. Where another run or a daemon has placed something since this run was
 * planned, that stays, and the page is looked at once more.
 * @returns the pages as they are now
 */
async function placeAll(
  job: Job,
  { runs, unsure }: IssuePlan,
  before: PlacedFiles,
): Promise<readonly PageRun[]> {
  // What was made here is in place already, and was noted since.
  const made = runs.filter(({ request, stored, failure }) => request && stored && !failure);
  const leave = new Set([...unsure, ...made.map(({ page }) => page.id)]);
  const overtaken = await placeStanding(job, runs, before, leave);
  if (overtaken.size === 0) return runs;
  const now = await planIssue(job, { pages: [], products: [], lazily: true });
  return runs.map((run, i) => (overtaken.has(run.page.id) ? now.runs[i] : run));
}

/**
 * Puts results of earlier runs into place again where their files are gone, and takes away what no longer holds. Call
 * it under the job's lock.
 * @param before what was in place when the pages were planned; what was placed since is newer, and stays
 * @param leave ids of pages whose files stay as they are
 * @returns ids of the pages that somebody else has placed since
 */
export async function placeStanding(
  job: Job,
  runs: readonly PageRun[],
  before: PlacedFiles,
  leave: ReadonlySet<string> = new Set(),
): Promise<ReadonlySet<string>> {
  const overtaken = await overtakenPages(job.folder, before);
  for (const page of leave) overtaken.delete(page);
  const stays = (page: string) => leave.has(page) || overtaken.has(page);
  const listed = new Set(runs.map((run) => run.page.id));
  for (const page of Object.keys(await readPlaced(job.folder))) {
    if (!listed.has(page) && !stays(page)) await removePlaced(job.folder, page);
  }
  for (const run of runs) {
    if (stays(run.page.id) || isDiskFailure(run)) continue;
    if (run.failure !== undefined) await removePlaced(job.folder, run.page.id);
    else if (run.stored !== undefined) await placeResult(job.folder, run.page.id, run.stored);
    else if (run.match.state !== 'ready') await removePlaced(job.folder, run.page.id);
  }
  return overtaken;
}
