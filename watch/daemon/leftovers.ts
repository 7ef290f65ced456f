import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { ownerIsGone, ownerPattern } from '../../pipeline/files/owner.js';
import { lookAtEach } from '../../pipeline/issue/page-run.js';

/** Where platehand makes files under temporary names, below the job folder. */
const folders = [
  'press',
  'plates',
  'pdf',
  'proofs',
  'rounds/changes',
  'proofs/seen-as',
  'palettes',
  'report',
  'report/img',
  'delivery',
  '.platehand',
];

/**
 * Removes what an earlier process left unfinished when it was ended in mid-work. Only names that platehand itself gives
 * to unfinished work are touched, and only in its own folders.
 * @returns how many were removed
 */
export async function removeLeftovers(jobFolder: string): Promise<number> {
  let removed = 0;
  for (const folder of folders) removed += await clean(join(jobFolder, folder), named('.+', '[0-9a-f]{12}'));
  const results = join(jobFolder, '.platehand', 'results');
  const unfinished = named('(?:new|[0-9a-f]{64})', '\\d+');
  const ofPages = await lookAtEach(await namesIn(results), (page) => clean(join(results, page), unfinished));
  removed += ofPages.reduce((sum, one) => sum + one, 0);
  removed += await clean(join(jobFolder, '.platehand'), named('.+\\.lock', '\\d+'));
  return removed;
}

/** Names of unfinished work: what it is to be, who makes it, and a mark of its own. */
function named(what: string, mark: string): RegExp {
  return new RegExp(`^\\.${what}\\.${ownerPattern}\\.${mark}\\.part$`);
}

/** Removes what fits the pattern once the process that made it is gone. */
async function clean(folder: string, pattern: RegExp): Promise<number> {
  let removed = 0;
  for (const name of await namesIn(folder)) {
    const match = pattern.exec(name);
    if (match === null || !ownerIsGone(match[1], Number(match[2]))) continue;
    // What cannot be removed now does no harm: the next start tries again.
    await rm(join(folder, name), { recursive: true, force: true }).then(
      () => removed++,
      () => undefined,
    );
  }
  return removed;
}

async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch(() => []);
}
