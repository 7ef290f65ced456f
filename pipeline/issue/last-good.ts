import { utimes } from 'node:fs/promises';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { pageProducts, pathOf } from '../outputs/products.js';
import { isGood, localStore } from '../store/local-store.js';
import { type PlacedFiles, placeResult, readPlaced } from '../store/placed.js';
import type { StoredResult } from '../store/result-store.js';
import { type PageRun, withLastGood } from './page-run.js';

/**
 * The last good result of a page: what stands of it in press/ and plates/ until a newer one is good as well. A version that is cut short
 * takes nothing away.
 */

/**
 * Puts a result into place. Where it is stopped, or only proofed yet, the press files of the last good one stay; with some of its own it
 * stands alone, since versions are never mixed. Call it under the
 * job's lock.
 */
export async function placePage(job: Job, page: IssuePage, stored: StoredResult): Promise<void> {
  const bringsPress = stored.result.outputs.some(({ product }) => pageProducts[product].phase === 'press');
  const isWhole = isGood(stored);
  const lastGood =
    isWhole || bringsPress ? undefined : await lastGoodOf(job, page, await readPlaced(job.folder));
  const hasChanged = await placeResult(job.folder, page.id, stored, lastGood);
  // What stands is the newest, also where somebody went back to an older version.
  if (hasChanged && isWhole) await utimes(stored.folder, new Date(), new Date());
}

/**
 * The good result of a page whose press files stand in place now; undefined where none does, or where somebody has taken them away.
 * @param placed what is in place
 */
async function lastGoodOf(job: Job, page: IssuePage, placed: PlacedFiles): Promise<StoredResult | undefined> {
  const standing = placed[page.id];
  if (standing === undefined) return undefined;
  const good = await localStore(job.folder).newestGood(outputBaseName(job, page));
  const stands = good?.result.outputs.some((output) => {
    const path = output.product === 'press' ? pathOf(output) : undefined;
    return path !== undefined && standing[path]?.sha256 === output.sha256;
  });
  return stands ? good : undefined;
}

/** A page that is not good as it is, with the good result that stands in place of it. @param placed what is in place */
export async function besideLastGood(job: Job, run: PageRun, placed: PlacedFiles): Promise<PageRun> {
  const { page, stored } = run;
  return stored !== undefined && isGood(stored)
    ? run
    : withLastGood(run, await lastGoodOf(job, page, placed));
}
