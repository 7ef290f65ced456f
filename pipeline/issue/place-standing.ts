import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { localStore } from '../store/local-store.js';
import {
  hasPlaced,
  overtakenPages,
  type PlacedFiles,
  placeResult,
  readPlaced,
  removePlaced,
  standsInPlace,
} from '../store/placed.js';
import { isGood } from '../store/taking-over.js';
import { allBesideLastGood, placePage } from './last-good.js';
import { lookAtEach, type PageRun, withNewer } from './page-run.js';
import { type IssuePlan, lookAgain } from './plan.js';
import { isWrongVersion } from './version-findings.js';

/**
 * Brings everything into place that a run knows of. Where another run or a daemon has placed something since this run was
 * planned, that stays, and the page is looked at once more. Call it under the job's lock.
 * @param runs the pages of the plan, as this run has made them
 * @param before what was in place when the pages were planned
 * @returns the pages as they are now
 */
export async function placeAll(
  job: Job,
  runs: readonly PageRun[],
  { unsure, caches }: IssuePlan,
  before: PlacedFiles,
): Promise<readonly PageRun[]> {
  // What was made here is in place already, and was noted since.
  const made = runs.filter(({ request, stored, failure }) => request && stored && !failure);
  const leave = new Set([...unsure, ...made.map(({ page }) => page.id)]);
  const overtaken = await placeStanding(job, runs, before, leave);
  await placeMade(job, made, runs);
  const now = overtaken.size === 0 ? runs : withNewer(runs, await lookAgain(job, overtaken, caches));
  // Whether a version is wrong is told by all pages, not by those alone that were looked at again.
  return allBesideLastGood(job, now, await readPlaced(job.folder));
}

/** A page made after another may have shown that the other's new version is its own picture: what stands follows. */
async function placeMade(job: Job, made: readonly PageRun[], runs: readonly PageRun[]): Promise<void> {
  const placed = await readPlaced(job.folder);
  for (const { page, stored } of made) {
    if (stored === undefined) continue;
    // Somebody beside us may have placed a newer one.
    const isOurs = stored.result.outputs.some((output) => hasPlaced(placed[page.id], output));
    if (isOurs) await placePage(job, page, stored, runs);
  }
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
  const placed = await readPlaced(job.folder);
  for (const page of Object.keys(placed)) {
    if (!listed.has(page) && !stays(page)) await removePlaced(job.folder, page);
  }
  const mayChange = runs.filter((run) => !stays(run.page.id) && !isDiskFailure(run));
  const stand = await lookAtEach(mayChange, (run) => standsAlready(job, run, runs, placed));
  for (const [at, run] of mayChange.entries()) if (!stand[at]) await placeRun(job, run, runs);
  return overtaken;
}

/** Whether a page's good result stands in place and is its newest, as that of nearly every page. */
async function standsAlready(
  job: Job,
  run: PageRun,
  runs: readonly PageRun[],
  placed: PlacedFiles,
): Promise<boolean> {
  const { page, stored, failure } = run;
  if (failure !== undefined || stored === undefined || !isGood(stored) || isWrongVersion(run, runs))
    return false;
  if (!(await standsInPlace(job.folder, placed[page.id], stored))) return false;
  const newest = await localStore(job.folder).newestKey(outputBaseName(job, page));
  return newest === stored.result.key;
}

/** A page that cannot be made as it is keeps its last good result, unless it has no file any more, or is held back. */
async function placeRun(job: Job, run: PageRun, runs: readonly PageRun[]): Promise<void> {
  const { page, match, stored, lastGood, failure } = run;
  const isGone = match.state === 'missing' || match.state === 'held';
  if (failure === undefined && stored !== undefined) await placePage(job, page, stored, runs);
  else if (lastGood !== undefined && !isGone) {
    if (failure !== undefined || match.state !== 'ready') await placeResult(job.folder, page.id, lastGood);
  } else if (failure !== undefined || match.state !== 'ready') await removePlaced(job.folder, page.id);
}

/** A disk that refuses to write says nothing about the page, and taking files away may be refused as well. */
function isDiskFailure({ failure }: PageRun): boolean {
  return failure?.code === 'write-failed' || failure?.code === 'lock-held';
}
