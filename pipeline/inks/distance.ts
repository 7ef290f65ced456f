import { chamferThirds, sweepDistances } from '../kernels/distances.js';
import { bandPixels, inBands, type KernelMemory } from '../kernels/kernel-memory.js';
import { eachSet, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/**
 * How far each pixel is from the nearest marked one, in whole pixels up to a limit: the chamfer distance of steps 3 and 4, a
 * third of it, which misses the straight line by at most 8 %.
 */

/**
 * @param marks the pixels that distances are from
 * @param limitPx distances beyond it are given as the limit; at most 84
 * @returns width x height distances, in pixels, rounded down
 */
export function distancesTo(marks: Bitmap, limitPx: number, memory: KernelMemory): Uint8Array {
  const { width, height } = marks;
  const reach = Math.min(limitPx, mostPx);
  const distances = new Uint8Array(width * height).fill(reach);
  const marked = markedRows(marks);
  if (marked === undefined) return distances;
  const [top, bottom] = [Math.max(0, marked.top - reach), Math.min(height, marked.bottom + reach)];
  const rows = distances.subarray(top * width, bottom * width);
  rows.fill(reach * chamferThirds.straight);
  eachSet(marks, (i) => {
    distances[i] = 0;
  });
  sweepDistances(rows, width, reach * chamferThirds.straight, chamferThirds, memory);
  toWhole(rows, memory);
  return distances;
}

/** The largest limit: three times as much is kept in a byte. */
export const mostPx = 84;

/** The rows between the first and the last marked pixel; undefined where none is marked. */
function markedRows(marks: Bitmap) {
  const words = wordsOf(marks);
  const first = words.findIndex((word) => word !== 0);
  if (first < 0) return undefined;
  const wordsInRow = marks.rowBytes >> 2;
  const last = words.findLastIndex((word) => word !== 0);
  return { top: Math.floor(first / wordsInRow), bottom: Math.floor(last / wordsInRow) + 1 };
}

/** Thirds of a pixel as whole ones, in place. */
function toWhole(thirds: Uint8Array, memory: KernelMemory): void {
  const [place] = memory.scratch(bandPixels);
  inBands(thirds.length, (start, count) => {
    const band = thirds.subarray(start, start + count);
    const at = memory.addressOf(band, place);
    memory.kernels.wholeThirds(at, count);
    memory.store(at, band);
  });
}
