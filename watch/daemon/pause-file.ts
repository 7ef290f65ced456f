import { mkdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { writeWhole } from '../../pipeline/files/atomic.js';

/** The file that pauses a folder's daemon as long as it is there. */
function pausePath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'paused');
}

/** Asks the folder's daemon, now or later, to begin no more pages. */
export async function pauseByHand(jobFolder: string): Promise<void> {
  await mkdir(join(jobFolder, '.platehand'), { recursive: true });
  await writeWhole(pausePath(jobFolder), Buffer.from('Remove this file, or run: platehand resume\n'));
}

export async function resumeByHand(jobFolder: string): Promise<void> {
  await rm(pausePath(jobFolder), { force: true });
}

export async function isPausedByHand(jobFolder: string): Promise<boolean> {
  return stat(pausePath(jobFolder)).then(
    () => true,
    () => false,
  );
}
