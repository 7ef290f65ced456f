import { inBands, type KernelMemory } from '../kernels/kernel-memory.js';
import { eachSet, rowsAtOnce, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/**
 * How far each pixel is from the nearest marked one, in whole pixels up to a limit: the chamfer distance of steps 3 and 4
 * (Borgefors, Distance transformations in digital images, 1986), a third of it, which misses the straight line by at most 8 %.
 */

/** A straight step, in thirds of a pixel; the kernels know it too. */
const straight = 3;

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
  rows.fill(reach * straight);
  eachSet(marks, (i) => {
    distances[i] = 0;
  });
  sweep(rows, width, reach * straight, memory);
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

/** Thirds of a pixel, 0 where marked and the limit elsewhere, become distances in whole pixels, band by band. */
function sweep(thirds: Uint8Array, width: number, limit: number, memory: KernelMemory): void {
  const { kernels } = memory;
  const height = thirds.length / width;
  const most = rowsAtOnce(width);
  const [place] = memory.scratch((most + 1) * width);
  for (let y = 0; y < height; y += most) {
    // The row that was swept last comes along.
    const above = Math.min(1, y);
    const band = thirds.subarray((y - above) * width, (y + most) * width);
    const at = memory.addressOf(band, place);
    kernels.sweepDown(at + above * width, width, band.length / width - above, above, limit);
    memory.store(at, band);
  }
  for (let end = height; end > 0; end -= most) {
    const below = end < height ? 1 : 0;
    const band = thirds.subarray(Math.max(0, end - most) * width, (end + below) * width);
    const at = memory.addressOf(band, place);
    kernels.sweepUp(at, width, band.length / width - below, below, limit);
    memory.store(at, band);
  }
  inBands(thirds.length, (start, count) => {
    const band = thirds.subarray(start, start + count);
    const at = memory.addressOf(band, place);
    kernels.wholeThirds(at, count);
    memory.store(at, band);
  });
}
