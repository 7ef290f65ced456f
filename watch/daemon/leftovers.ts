import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { ownerIsGone, ownerPattern } from '../../pipeline/files/owner.js';
import { standingNames } from '../../pipeline/files/standing-files.js';
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
 * Finds what an earlier process left unfinished when it was ended in mid-work. Only names that platehand itself gives to unfinished work
 * are meant, and only in its own folders. Changes nothing.
 * @returns paths
 */
export async function findLeftovers(jobFolder: string): Promise<readonly string[]> {
  const results = join(jobFolder, '.platehand', 'results');
  const pages = await standingNames(results);
  const unfinished = named('(?:new|[0-9a-f]{64})', '\\d+');
  // All at once, so that they are listed while others use this thread.
  const found = await Promise.all([
    ...folders.map((folder) => unfinishedIn(join(jobFolder, folder), named('.+', '[0-9a-f]{12}'))),
    ...pages.map((page) => unfinishedIn(join(results, page), unfinished)),
    unfinishedIn(join(jobFolder, '.platehand'), named('.+\\.lock', '\\d+')),
  ]);
  return found.flat();
}

/**
 * Removes it. What cannot be removed now does no harm: the next start tries again.
 * @returns how many were removed
 */
export async function removeLeftovers(leftovers: readonly string[]): Promise<number> {
  const removed = await lookAtEach(leftovers, (path) =>
    rm(path, { recursive: true, force: true }).then(
      () => true,
      () => false,
    ),
  );
  return removed.filter(Boolean).length;
}

/** Names of unfinished work: what it is to be, who makes it, and a mark of its own. */
function named(what: string, mark: string): RegExp {
  return new RegExp(`^\\.${what}\\.${ownerPattern}\\.${mark}\\.part$`);
}

/** What fits the pattern, and whose maker is gone. */
async function unfinishedIn(folder: string, pattern: RegExp): Promise<readonly string[]> {
  const names = await standingNames(folder);
  return names.flatMap((name) => {
    const match = pattern.exec(name);
    return match !== null && ownerIsGone(match[1], Number(match[2])) ? [join(folder, name)] : [];
  });
}
