import { utimes } from 'node:fs/promises';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { pageProducts } from '../outputs/products.js';
import { localStore } from '../store/local-store.js';
import { hasPlaced, type PlacedFiles, placeResult, readPlaced } from '../store/placed.js';
import type { StoredResult } from '../store/result-store.js';
import { isGood } from '../store/taking-over.js';
import { type PageRun, withLastGood } from './page-run.js';
import { isWrongVersion } from './version-findings.js';

/**
 * The last good result of a page: what stands of it in press/ and plates/ until a newer one is good as well. A version that is cut short,
 * blank or another page's picture takes nothing away.
 */

/**
 * Puts a result into place. Where it is stopped, or only proofed yet, the press files of the last good one stay; with some of its own it
 * stands alone, since versions are never mixed. Of a wrong version only the proof is placed. Call it under the job's lock.
 * @param runs all pages of the issue: one of them may own what a new version shows
 */
export async function placePage(
  job: Job,
  page: IssuePage,
  stored: StoredResult,
  runs: readonly PageRun[],
): Promise<void> {
  const isWrong = isWrongVersion({ page, stored }, runs);
  const shown = isWrong ? asIfStopped(stored) : stored;
  const bringsPress = shown.result.outputs.some(({ product }) => pageProducts[product].phase === 'press');
  const isWhole = isGood(stored) && !isWrong;
  const lastGood =
    isWhole || bringsPress
      ? undefined
      : await lastGoodOf(job, page, stored, runs, await readPlaced(job.folder));
  await placeResult(job.folder, page.id, shown, lastGood);
  // What stands is the newest, also where somebody went back to an older version, of which the bytes may be the same.
  if (isWhole) await utimes(stored.folder, new Date(), new Date());
}

/** What of a result is shown although its page is stopped. */
function asIfStopped(stored: StoredResult): StoredResult {
  const outputs = stored.result.outputs.filter(({ product }) => pageProducts[product].forStoppedPage);
  return { ...stored, result: { ...stored.result, outputs } };
}

/**
 * The good result of a page whose press files stand in place now, or stood there before a version that has turned out to be wrong;
 * undefined where none does, or where somebody has taken them away.
 * @param newest the page's result as it is now, which is not meant
 * @param placed what is in place
 */
export async function lastGoodOf(
  job: Job,
  page: IssuePage,
  newest: StoredResult | undefined,
  runs: readonly PageRun[],
  placed: PlacedFiles,
): Promise<StoredResult | undefined> {
  const standing = placed[page.id];
  if (standing === undefined) return undefined;
  const store = localStore(job.folder);
  const name = outputBaseName(job, page);
  const isRight = (good: StoredResult) =>
    good.result.key !== newest?.result.key && !isWrongVersion({ page, stored: good }, runs);
  // All of its press files: a wrong version of the colour has the line of the right one.
  const stands = ({ result }: StoredResult) => {
    const press = result.outputs.filter(({ product }) => product === 'press');
    return press.length > 0 && press.every((output) => hasPlaced(standing, output));
  };
  const found = await store.newestGood(name, (good) => stands(good) && isRight(good));
  if (found !== undefined) return found;
  const isWrongInPlace = (await store.newestGood(name, stands)) !== undefined;
  return isWrongInPlace ? store.newestGood(name, isRight) : undefined;
}

/** A page that is not good as it is, with the good result that stands in place of it. @param placed what is in place */
export async function besideLastGood(
  job: Job,
  run: PageRun,
  runs: readonly PageRun[],
  placed: PlacedFiles,
): Promise<PageRun> {
  const { page, stored } = run;
  return stored !== undefined && isGood(stored) && !isWrongVersion(run, runs)
    ? run
    : withLastGood(run, await lastGoodOf(job, page, stored, runs, placed));
}

/** What stands of one page shows another's version to be wrong, of which then another stands: so many times at most. */
const mostRounds = 5;

/**
 * The same for all pages of an issue: first those that are not good by themselves, then those that the others show to be wrong, until
 * nothing changes any more.
 */
export async function allBesideLastGood(
  job: Job,
  runs: readonly PageRun[],
  placed: PlacedFiles,
): Promise<readonly PageRun[]> {
  const beside = (others: readonly PageRun[]) =>
    Promise.all(runs.map((run) => besideLastGood(job, run, others, placed)));
  const keyOf = ({ lastGood }: PageRun) => lastGood?.result.key;
  let now = await beside([]);
  for (let round = 0; round < mostRounds; round++) {
    const before = now;
    now = await beside(before);
    if (now.every((run, at) => keyOf(run) === keyOf(before[at]))) break;
  }
  return now;
}
