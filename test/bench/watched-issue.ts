import { mkdir, rename, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Raster } from '../../pipeline/model/raster.js';
import { drawn } from '../helpers/rasters.js';
import { inksPage, inksTiffOf, lineSize, smallJob, tiffOf } from '../helpers/small-issue.js';

/**
 * An issue of small pages for the campaigns against the daemon: 25 x 35 mm, so that a page takes a moment and the
 * daemon meets as many situations as possible in little time.
 */
export interface WatchedIssue {
  readonly folder: string;
  readonly pages: readonly string[];
  /** Drops a page's picture by renaming it into place, as careful programs do. */
  drop(page: string, bytes: Uint8Array): Promise<void>;
}

/** Every file has the same age, as if all had been dropped long ago. */
const droppedAt = new Date('2026-11-20T12:00:00Z');

/** Resolution at which the pages of test/helpers/small-issue.ts measure 28 x 38 mm, trim plus bleed. */
const tinyPpi = 400;

/** Makes a job folder whose even pages wait for a colour file (their line is there), and whose odd ones are flat. */
export async function makeWatchedIssue(folder: string, pageCount: number): Promise<WatchedIssue> {
  const job = smallJob
    .replace('[50, 70]', '[25, 35]')
    .replace('bleed: 3', 'bleed: 1.5')
    .replace('safe: 5', 'safe: 2')
    .replace('colourPpi: 100', 'colourPpi: 72')
    .replace('linePpi: 200', 'linePpi: 144')
    .replace('  - page: cover\n    kind: cover\n', '')
    .replace('pages: 1-3', `pages: 1-${pageCount}`);
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await writeFile(join(folder, 'job.yaml'), job);
  const pages = Array.from({ length: pageCount }, (_, index) => `${index + 1}`);
  let dropped = 0;
  const put = async (name: string, bytes: Uint8Array) => {
    const path = join(folder, `dropped-${++dropped}`);
    await writeFile(path, bytes);
    await utimes(path, droppedAt, droppedAt);
    await rename(path, join(folder, 'incoming', name));
  };
  const inks = await inksTiffOf(inksPage(), tinyPpi);
  for (const page of pages) if (isPair(page)) await put(`p${page} inks.tif`, inks);
  const drop = (page: string, bytes: Uint8Array) =>
    put(isPair(page) ? `p${page} colour.tif` : `p${page}.tif`, bytes);
  return { folder, pages, drop };
}

const isPair = (page: string) => Number(page) % 2 === 0;

/** Colour of one variant of a page; variants differ, and each is the same on every run. */
export async function colourVariant(variant: number): Promise<Buffer> {
  const { width, height } = lineSize;
  const shade = (variant * 37) % 200;
  const picture: Raster = drawn(width, height, 'rgb', (x, y) => [
    (x + shade) & 255,
    (y + 3 * shade) & 255,
    ((x >> 2) ^ (y >> 2)) & 127,
  ]);
  return tiffOf(picture, tinyPpi);
}

/** Random numbers from 0 to 1 that are the same for the same seed: a linear congruential generator modulo 2^32. */
export function seededRandom(seed: number): () => number {
  // Multiplier and increment as in Numerical Recipes (from memory); any full-period pair would do.
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}
