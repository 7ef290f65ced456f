import { join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { loadJob, parseJob } from '../../config/load-job.js';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../../pipeline/files/atomic.js';

/**
 * The last job.yaml that could be followed, kept in `.platehand/`: while somebody has left a mistake in the file, `platehand status` shows
 * the board as it was before.
 */

const keptPath = (jobFolder: string) => join(jobFolder, '.platehand', 'job-last-good.yaml');

/** A job for looking at, and what is wrong with job.yaml where it is the one before. */
export interface FollowedJob {
  /** By job.yaml, or by the one before. */
  readonly job: Job;
  /** Why job.yaml itself cannot be followed; undefined where it can. */
  readonly broken: PlatehandError | undefined;
}

/** Keeps the job.yaml of a folder that was just read without a mistake. A disk that refuses is told where it matters, not here. */
export async function keepJob(jobFolder: string): Promise<void> {
  try {
    const text = await readRegular(join(jobFolder, 'job.yaml'));
    const before = await readRegular(keptPath(jobFolder)).catch(() => undefined);
    if (before?.equals(text)) return;
    // Somebody may have spoiled it since.
    parseJob(text.toString('utf8'), jobFolder);
    await makeFolder(join(jobFolder, '.platehand'));
    await writeWhole(keptPath(jobFolder), text);
  } catch {
    // The copy is a convenience; nothing rests on it.
  }
}

/**
 * Reads job.yaml, or the last one that could be followed.
 * @throws what loadJob throws, where nothing was kept
 */
export async function followJob(folder: string): Promise<FollowedJob> {
  try {
    return { job: await loadJob(folder), broken: undefined };
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) throw thrown;
    const kept = await lastJob(folder);
    if (kept === undefined) throw thrown;
    return { job: kept, broken: thrown };
  }
}

async function lastJob(folder: string): Promise<Job | undefined> {
  try {
    return parseJob((await readRegular(keptPath(folder))).toString('utf8'), folder);
  } catch {
    return undefined;
  }
}
