import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Raster } from '../../pipeline/model/raster.js';
import { seeded as seededRandom } from './rasters.js';

export { seededRandom };

/** That many sample values below 2 to the power of `bits`. */
export function sampleValues(count: number, bits: number, seed = 1): number[] {
  const random = seededRandom(seed);
  return Array.from({ length: count }, () => Math.floor(random() * 2 ** bits));
}

/** The first sample that differs, as `pixel 3,4 channel 2: 17 instead of 18`; undefined when all are equal. */
export function firstDifference(raster: Raster, expected: ArrayLike<number>): string | undefined {
  const channels = raster.data.length / (raster.width * raster.height);
  if (raster.data.length !== expected.length) {
    return `${raster.data.length} samples instead of ${expected.length}`;
  }
  for (let i = 0; i < expected.length; i++) {
    if (raster.data[i] === expected[i]) continue;
    const pixel = Math.floor(i / channels);
    const place = `pixel ${pixel % raster.width},${Math.floor(pixel / raster.width)} channel ${i % channels}`;
    return `${place}: ${raster.data[i]} instead of ${expected[i]}`;
  }
  return undefined;
}

/** A folder of its own for a test's files. */
export interface Scratch {
  /** Writes a file and returns its path. */
  readonly file: (name: string, bytes: Uint8Array) => Promise<string>;
  readonly remove: () => Promise<void>;
}

export async function scratchFolder(): Promise<Scratch> {
  const folder = await mkdtemp(join(tmpdir(), 'platehand-read-'));
  return {
    async file(name, bytes) {
      const path = join(folder, name);
      await writeFile(path, bytes);
      return path;
    },
    remove: () => rm(folder, { recursive: true, force: true }),
  };
}
