import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';

/** Where platehand makes files under temporary names, below the job folder. */
const folders = ['press', 'plates', 'proofs', 'delivery', '.platehand'];

/**
 * Removes what an earlier process left unfinished when it was ended in mid-work. Only names that platehand itself gives
 * to unfinished work are touched, and only in its own folders.
 * @returns how many were removed
 */
export async function removeLeftovers(jobFolder: string): Promise<number> {
  let removed = 0;
  for (const folder of folders)
    removed += await clean(join(jobFolder, folder), /^\..+\.(\d+)\.[0-9a-f]{12}\.part$/);
  const results = join(jobFolder, '.platehand', 'results');
  for (const page of await namesIn(results)) {
    removed += await clean(join(results, page), /^\.[0-9a-f]{64}\.(\d+)\.\d+\.part$/);
  }
  removed += await clean(join(jobFolder, '.platehand'), /^\..+\.lock\.(\d+)\.\d+\.part$/);
  return removed;
}

/** Removes what fits the pattern, whose number is the process that made it, once that process is gone. */
async function clean(folder: string, pattern: RegExp): Promise<number> {
  let removed = 0;
  for (const name of await namesIn(folder)) {
    const match = pattern.exec(name);
    if (match === null || isAlive(Number(match[1]))) continue;
    await rm(join(folder, name), { recursive: true, force: true });
    removed++;
  }
  return removed;
}

async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch(() => []);
}

/** Nothing of this process's own is unfinished when it begins: its number was another's before. */
function isAlive(pid: number): boolean {
  if (pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (thrown) {
    return (thrown as NodeJS.ErrnoException).code === 'EPERM';
  }
}
