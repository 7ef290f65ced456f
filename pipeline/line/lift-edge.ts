import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { countSet, emptyBitmap, lowestBit, wordsOf } from './bitmap.js';
import type { InkLevel } from './edge-counts.js';
import { grow, shrink } from './morphology.js';

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
    const [here, there] = [brightest(picture, soft), brightest(picture, behind)];
    if (there <= here || there <= ink.level) return;
    const share = Math.min(254, Math.round((255 * (there - here)) / (there - ink.level)));
    if (share > data[soft]) data[soft] = share;
  };
  inner(core, memory, (x, y, i) => {
    if (x > 0) add(i - 1, x > 1 ? i - 2 : i - 1);
    if (x < width - 1) add(i + 1, x < width - 2 ? i + 2 : i + 1);
    if (y > 0) add(i - width, y > 1 ? i - 2 * width : i - width);
    if (y < height - 1) add(i + width, y < height - 2 ? i + 2 * width : i + width);
  });
}

/** Calls `work` for each pixel along the border of a mask, within it. */
function inner(mask: Bitmap, memory: KernelMemory, work: (x: number, y: number, i: number) => void): void {
  const border = emptyBitmap(mask);
  const [words, all, within] = [wordsOf(border), wordsOf(mask), wordsOf(shrink(mask, 1, memory))];
  for (let i = 0; i < words.length; i++) words[i] = all[i] & ~within[i];
  eachSet(border, work);
}

function eachSet(mask: Bitmap, work: (x: number, y: number, i: number) => void): void {
  const words = wordsOf(mask);
  const wordsInRow = mask.rowBytes >> 2;
  for (let at = 0; at < words.length; at++) {
    if (words[at] === 0) continue;
    const y = Math.floor(at / wordsInRow);
    const left = (at - y * wordsInRow) * 32;
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
      const x = left + lowestBit(rest);
      work(x, y, y * mask.width + x);
    }
  }
}

/** The brightest channel of a pixel, 0 to 255. */
function brightest(picture: Raster, i: number): number {
  const { data } = picture;
  const shift = maxOf(picture) === 255 ? 0 : 8;
  if (channelsOf(picture) === 1) return data[i] >> shift;
  return Math.max(data[3 * i], data[3 * i + 1], data[3 * i + 2]) >> shift;
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
  const ring = emptyBitmap(to);
  const [words, outer, inside] = [wordsOf(ring), wordsOf(to), wordsOf(within)];
  for (let i = 0; i < words.length; i++) words[i] = outer[i] & ~inside[i];
  const pixels = new Int32Array(countSet(ring, memory));
  let count = 0;
  const wordsInRow = ring.rowBytes >> 2;
  for (let at = 0, x = 0, row = 0; at < words.length; at++, x += 32) {
    if (x === wordsInRow * 32) {
      x = 0;
      row += ring.width;
    }
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) pixels[count++] = row + x + lowestBit(rest);
  }
  return { pixels, shown: samplesAt(pixels, picture) };
}

function samplesAt(pixels: Int32Array, picture: Raster): Ring['shown'] {
  const channels = channelsOf(picture);
  const { data } = picture;
  const samples = pixels.length * channels;
  const shown = data instanceof Uint8Array ? new Uint8Array(samples) : new Uint16Array(samples);
  for (let k = 0, at = 0; k < pixels.length; k++) {
    const from = pixels[k] * channels;
    for (let c = 0; c < channels; c++) shown[at++] = data[from + c];
  }
  return shown;
}
