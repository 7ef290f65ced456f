import type { Job } from '../../config/job.js';
import { type PageResult, type ProductName, productNames } from '../model/page-result.js';
import { withThoseAlong } from '../outputs/products.js';
import { roundsMark } from '../rounds/round-record.js';
import { defaultJobs, pagePixels } from '../runner/page-cost.js';
import { openPagePool } from '../runner/page-pool.js';
import type { DrawSheet, PageRunner } from '../runner/page-runner.js';
import { Scheduler } from '../runner/scheduler.js';
import type { FileHashes } from '../store/file-hashes.js';
import { localStore } from '../store/local-store.js';
import { readPlaced } from '../store/placed.js';
import { updateIssuePdfs } from './issue-pdf.js';
import { failureOf, makePage, whileLocked } from './make-page.js';
import { type PageRun, withFailure, withInspected, withNewer, withStored } from './page-run.js';
import { placeAll } from './place-standing.js';
import { planIssue } from './plan.js';
import { type IssueReport, type PageReport, reportOf } from './report.js';
import { nothingWritten, updateReport } from './report-update.js';
import { dropOldSights } from './seen-as.js';
import { updateContactSheet, updatePalettes } from './sheet-update.js';
import { updateSwatches } from './swatch-update.js';
import { versionChanges } from './version-changes.js';

/** What a run tells while it goes on. */
export type RunEvent =
  | { readonly kind: 'planned'; readonly toDo: readonly string[]; readonly unchanged: readonly string[] }
  | { readonly kind: 'started'; readonly page: string }
  | { readonly kind: 'finished'; readonly page: string; readonly result: PageResult }
  | { readonly kind: 'failed'; readonly page: string; readonly message: string };

/** What a run of an issue may be told. */
export interface RunOptions {
  /** Ids of the pages to work on; default all. */
  readonly pages?: readonly string[];
  /** What to make; default everything. An empty list only looks: nothing is written. */
  readonly products?: readonly ProductName[];
  /** Reads every stored result again, so that a file somebody has written to by hand is made anew. Default no. */
  readonly thorough?: boolean;
  /** Pages worked on at the same time, 1 or more; default defaultJobs(). */
  readonly jobs?: number;
  /** Pixels in hand at most, over all pages; default defaultPixelBudget(), what fits into half of the machine's memory. */
  readonly pixelBudget?: number;
  /** Is told what the run does while it goes on; default nobody. */
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
 * outputs into place, draws the contact sheet and writes the report. Pages that are missing, contested or held are reported.
 * @throws PlatehandError for troubles of the whole job (folder, profile); troubles of a page are findings on it
 */
export async function runIssue(job: Job, options: RunOptions = {}): Promise<IssueReport> {
  const wanted = withThoseAlong(options.products ?? productNames);
  const { pages, thorough } = options;
  const before = await readPlaced(job.folder);
  const lazily = !thorough && (options.runner?.takesUnhashed ?? true);
  const plan = await planIssue(job, { pages, products: wanted, thorough, lazily });
  const work = plan.runs.filter((run) => run.request !== undefined);
  const toDo = work.map((run) => run.page.id);
  const isMade = (run: PageRun) => run.stored !== undefined && run.request === undefined;
  const unchanged = plan.runs.filter(isMade).map((run) => run.page.id);
  options.onEvent?.({ kind: 'planned', toDo, unchanged });
  const openPool = () => openPagePool(jobsFor(work, options), work.flatMap(filesOf));
  const runner = work.length === 0 ? undefined : (options.runner ?? openPool());
  try {
    const made = runner === undefined ? [] : await workThrough(job, plan.runs, runner, options);
    for (const run of made) learnChecksums(run, plan.caches.hashes);
    const runs = withNewer(plan.runs, made);
    const reportOn = (runs: readonly PageRun[]) => reportOf(job, plan.reconciliation, runs, toDo);
    if (wanted.length === 0) return { ...reportOn(runs), ...nothingWritten };
    await plan.caches.hashes.save(job.folder);
    if (toDo.length > 0) await measureChanges(job, reportOn(runs).pages);
    const { report, sheet, reportFile } = await whileLocked(job.folder, async () => {
      const placed = await placeAll(job, runs, plan, before);
      const report = reportOn(placed);
      const draw = runner === undefined ? drawnApart : runner.drawSheet;
      const sheet = await updateContactSheet(job, report, placed, draw);
      await updatePalettes(job, report, draw);
      return { report, sheet, reportFile: await updateReport(job, report) };
    });
    options.onContactSheet?.(sheet.png);
    // Not under the job's lock: it may take a minute, and the file is replaced as a whole.
    const issuePdfs = await updateIssuePdfs(job, report.pages, wanted.includes('pdf'));
    await dropOldSights(job.folder);
    await updateSwatches(job, report.pages, true);
    return { ...report, contactSheet: sheet.path, reportFile, issuePdfs };
  } finally {
    if (options.runner === undefined) await runner?.close();
  }
}

/**
 * Measures how new versions differ from what review rounds have frozen, so that the report can tell. Not under the job's lock: a page of
 * which everything is another takes seconds.
 */
async function measureChanges(job: Job, reports: readonly PageReport[]): Promise<void> {
  if ((await roundsMark(job.folder)) === '') return;
  const { changesSince } = await import('./changes-since.js');
  await changesSince(job, reports, true);
}

/** In a process of its own, where none is there for pages: what it takes goes with it. */
const drawnApart: DrawSheet = async (sheet) => {
  const pool = openPagePool(1, []);
  try {
    return await pool.drawSheet(sheet);
  } finally {
    await pool.close();
  }
};

function filesOf({ request }: PageRun) {
  return request === undefined ? [] : [request.files];
}

function jobsFor(work: readonly PageRun[], { jobs }: RunOptions): number {
  return Math.max(1, Math.min(jobs ?? defaultJobs(), work.length));
}

/** What was read for the first time need not be read again to know it. */
function learnChecksums({ request, stored }: PageRun, hashes: FileHashes): void {
  if (request === undefined || request.key !== undefined || stored === undefined) return;
  for (const [i, { local }] of request.files.entries()) {
    hashes.learn(local.path, local.seen, stored.result.used[i].sha256);
  }
}

/** Prepares the pages that have something to do. @returns them with what became of each */
async function workThrough(
  job: Job,
  runs: readonly PageRun[],
  runner: PageRunner,
  options: RunOptions,
): Promise<readonly PageRun[]> {
  const { pixelBudget, signal } = options;
  const work = runs.filter((run) => run.request !== undefined);
  // Where pages are larger than usual, or --jobs asks for more than there is memory, fewer are in flight.
  const scheduler = new Scheduler({ jobs: jobsFor(work, options), pixelBudget });
  const made: PageRun[] = [];
  const one = async (run: PageRun) => {
    if (run.request === undefined) return;
    // Without a rank, pages begin in the order of the page list.
    const pixels = pagePixels(run.request);
    await scheduler.add({ rank: [], pixels, signal }, async () => {
      made.push(await workOn(job, run, runner, options, () => withNewer(runs, made)));
    });
  };
  await Promise.all(work.map(one));
  return made;
}

/** Prepares one page. Whatever goes wrong stays on this page. @returns it with what became of it */
async function workOn(
  job: Job,
  run: PageRun,
  runner: PageRunner,
  { onEvent, signal, products }: Pick<RunOptions, 'onEvent' | 'signal' | 'products'>,
  runs: () => readonly PageRun[],
): Promise<PageRun> {
  const { request, page } = run;
  const isLook = products?.length === 0;
  if (request === undefined) return run;
  onEvent?.({ kind: 'started', page: page.id });
  try {
    const made = isLook
      ? { result: await runner.run(request, signal), stored: undefined }
      : await makePage(job, request, runner, { signal, runs });
    onEvent?.({ kind: 'finished', page: page.id, result: made.result });
    if (made.stored !== undefined) return withStored(run, made.stored);
    const store = localStore(job.folder);
    const before = run.lastGood ?? (await store.newest(request.baseName));
    return withInspected(run, made.result, await versionChanges(store, before, made.result));
  } catch (thrown) {
    if (signal?.aborted) return run;
    const failure = failureOf(page.id, thrown);
    onEvent?.({ kind: 'failed', page: page.id, message: failure.message });
    return withFailure(run, failure);
  }
}
