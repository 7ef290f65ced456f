import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, gathered, isSet, type Plate, type Raster } from '../model/raster.js';
import { countSet, eachSet, emptyBitmap, without, wordsOf } from './bitmap.js';
import type { InkLevel } from './edge-counts.js';
import { grow, shrink } from './morphology.js';
import { levelAt } from './tone.js';

/** The soft edge of lifted ink, and what the picture shows around it. */

/** Pixels around the ink that its soft edge and the filling may change (fill-beneath.ts: one of the edge, and two more). */
const ringsPx = 3;

/**
 * Adds the soft pixels beside the ink: how much darker each is than the pixel behind it, seen from the ink. Only that direction
 * counts, so that a dark colour beside a thin line is not taken for ink because paper lies across the line.
 * @param line full ink where the core is; changed in place
 * @param picture rgb or grey without alpha
 */
export function soften(
  line: Plate,
  core: Bitmap,
  picture: Raster,
  ink: InkLevel,
  memory: KernelMemory,
): void {
  const { width, height, data } = line;
  const add = (soft: number, behind: number) => {
    if (data[soft] === 255) return;
    const [here, there] = [levelAt(picture, soft), levelAt(picture, behind)];
    if (there <= here || there <= ink.level) return;
    const share = Math.min(254, Math.round((255 * (there - here)) / (there - ink.level)));
    if (share > data[soft]) data[soft] = share;
  };
  eachSet(without(core, shrink(core, 1, memory), memory), (i, x, y) => {
    if (x > 0) add(i - 1, x > 1 ? i - 2 : i - 1);
    if (x < width - 1) add(i + 1, x < width - 2 ? i + 2 : i + 1);
    if (y > 0) add(i - width, y > 1 ? i - 2 * width : i - width);
    if (y < height - 1) add(i + width, y < height - 2 ? i + 2 * width : i + width);
  });
}

/** A pixel at the edge is ink when it is nearer to the ink than to the colour behind it. */
const half = 0.5;

/**
 * Takes out of the ink what only passed for it because the colour beside it is hardly brighter: pixels at its border, brighter than
 * the ink's own level, that are nearer to the colour behind them, seen from the ink.
 */
export function withoutSoft(core: Bitmap, tone: Plate, ink: InkLevel, memory: KernelMemory): Bitmap {
  const { width, height, data } = tone;
  const soft = emptyBitmap(core);
  const words = wordsOf(soft);
  const wordsInRow = soft.rowBytes >> 2;
  const isColour = (i: number, step: number) => {
    const behind = data[i + 2 * step];
    if (isSet(core, (i + step) % width, Math.floor((i + step) / width)) || behind <= ink.to) return false;
    return behind - data[i] < half * (behind - ink.level);
  };
  eachSet(without(core, shrink(core, 1, memory), memory), (i, x, y) => {
    if (data[i] <= ink.to || x < 2 || y < 2 || x > width - 3 || y > height - 3) return;
    if (isColour(i, 1) || isColour(i, -1) || isColour(i, width) || isColour(i, -width))
      words[y * wordsInRow + (x >> 5)] |= 1 << (x & 31);
  });
  return without(core, soft, memory);
}

/** Pixels at one distance from the ink, by index, and what the picture showed there. */
export interface Ring {
  readonly pixels: Int32Array;
  readonly shown: Uint8Array | Uint16Array;
}

/** Remembers what a picture shows around ink, ring by ring from the ink outwards. */
export function keepRings(core: Bitmap, picture: Raster, memory: KernelMemory): Ring[] {
  const rings: Ring[] = [];
  let within = core;
  for (let distance = 1; distance <= ringsPx; distance++) {
    const to = grow(core, distance, memory);
    rings.push(ringOf(to, within, picture, memory));
    within = to;
  }
  return rings;
}

function ringOf(to: Bitmap, within: Bitmap, picture: Raster, memory: KernelMemory): Ring {
  const ring = without(to, within, memory);
  const pixels = new Int32Array(countSet(ring, memory));
  let count = 0;
  eachSet(ring, (i) => {
    pixels[count++] = i;
  });
  return { pixels, shown: gathered(picture, pixels).data };
}
