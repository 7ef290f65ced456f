import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { PressCache } from '../issue/plan-caches.js';
import type { StatesOfPage } from '../issue/since-round.js';
import { PageArena } from '../kernels/page-arena.js';
import type { PageComparison } from '../rounds/compare-page.js';
import { openPicture, picturesOf } from '../rounds/page-state.js';
import { roundsFolder } from '../rounds/round-record.js';
import { comparisonPicture } from './comparison-picture.js';

/** Pictures of what changed, a file each, in a folder beside the rounds. */

/** Where they stand in the job folder. */
const changesFolder = `${roundsFolder}/changes`;

/** What the pages are compared with. */
export interface ComparedWith {
  readonly kind: 'round' | 'delivery';
  readonly number: number;
  /** In words: `round 1`, `delivery TDL03-2`. */
  readonly name: string;
}

/**
 * Draws every page that changed, one after the other, and takes away pictures of pages that no longer differ.
 * @param isWhole whether all pages were compared: then any other picture against the same state is an old one
 * @returns the files of each page, in the job folder
 * @throws PlatehandError `write-failed`
 */
export async function drawComparisons(
  job: Job,
  since: ComparedWith,
  states: readonly StatesOfPage[],
  compared: readonly PageComparison[],
  isWhole: boolean,
): Promise<Map<string, string[]>> {
  const drawn = new Map<string, string[]>();
  const arena = new PageArena();
  const presses = new PressCache();
  for (const [at, comparison] of compared.entries()) {
    if (comparison.verdict !== 'changed') continue;
    const files = await drawPage(job, since, states[at], comparison, { arena, presses });
    drawn.set(comparison.page, files);
  }
  await removeOthers(job, since, isWhole ? undefined : states, [...drawn.values()].flat());
  return drawn;
}

async function drawPage(
  job: Job,
  since: ComparedWith,
  { page, before, now }: StatesOfPage,
  comparison: PageComparison,
  { arena, presses }: { arena: PageArena; presses: PressCache },
): Promise<string[]> {
  if (page === undefined || before === undefined || now === undefined) return [];
  const press = await presses.open(page.spec.press);
  const [were, are] = [picturesOf(before), picturesOf(now)];
  const files: string[] = [];
  await makeFolder(join(job.folder, roundsFolder));
  await makeFolder(join(job.folder, changesFolder));
  for (const compared of comparison.pictures) {
    const { half } = compared;
    const png = await comparisonPicture(
      {
        title: `${job.issue}, page ${half ?? page.id}: ${since.name} and now`,
        ...{ comparison, compared, spec: page.spec, press, since: since.name },
        before: await openPicture(were.get(half) ?? []),
        now: await openPicture(are.get(half) ?? []),
      },
      arena,
    );
    arena.reset();
    const path = `${changesFolder}/${fileName(outputBaseName(job, page), half, since)}`;
    await writeWhole(join(job.folder, path), png);
    files.push(path);
  }
  return files;
}

function fileName(baseName: string, half: number | undefined, since: ComparedWith): string {
  return `${baseName}${half === undefined ? '' : `_page-${half}`}${endOf(since)}`;
}

function endOf({ kind, number }: ComparedWith): string {
  return `_since-${kind}-${number}.png`;
}

async function removeOthers(
  job: Job,
  since: ComparedWith,
  only: readonly StatesOfPage[] | undefined,
  drawn: readonly string[],
): Promise<void> {
  const names = await readdir(join(job.folder, changesFolder)).catch(() => []);
  const own = only?.flatMap(({ page }) => (page === undefined ? [] : [outputBaseName(job, page)]));
  const isAsked = (name: string) =>
    own === undefined ||
    own.some((base) => name === `${base}${endOf(since)}` || name.startsWith(`${base}_page-`));
  for (const name of names) {
    const path = `${changesFolder}/${name}`;
    if (!name.endsWith(endOf(since)) || drawn.includes(path) || !isAsked(name)) continue;
    await rm(join(job.folder, path), { force: true });
  }
}
