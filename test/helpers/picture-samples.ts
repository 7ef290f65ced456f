import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Raster } from '../../pipeline/raster.js';

/** Numbers from 0 below 1, the same for the same seed: mulberry32, a public domain generator. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

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
