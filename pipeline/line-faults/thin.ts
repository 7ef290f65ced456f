import type { KernelMemory } from '../kernels/kernel-memory.js';
import { inRows, rowsAtOnce } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/**
 * Local thickness: of each pixel of a shape the diameter of the largest disc in the shape that covers it (Hildebrand and Ruegsegger,
 * Journal of Microscopy 185, 1997). Whether it is below a limit takes one disc only, and discs of whole pixels tell even widths
 * from odd ones, which the distance to the next pixel of paper does not.
 */

/** The widest disc, in pixels: a kernel works on words of 64. */
export const widestDiscPx = 32;

/**
 * Marks what is thinner than a width: pixels that no disc of that diameter covers which lies in the shape as a whole. What runs off
 * the page counts as going on beyond it.
 * @param shape `ink` looks at what is set, `paper` at what is not
 * @param diameterPx whole pixels, 1 to 32; 1 marks nothing
 */
export function thinnerThan(
  bitmap: Bitmap,
  shape: 'ink' | 'paper',
  diameterPx: number,
  memory: KernelMemory,
): Bitmap {
  const { width, height, rowBytes } = bitmap;
  const bits = new Uint8Array(bitmap.bits.length);
  const lengths = discRows(diameterPx);
  const mostRows = Math.min(height, rowsAtOnce(width) + 2 * diameterPx);
  const [from, disc, spread, to] = memory.scratch(
    mostRows * rowBytes,
    diameterPx,
    3 * (mostRows + 2 * diameterPx) * (rowBytes + 16),
    mostRows * rowBytes,
  );
  const flip = shape === 'paper' ? 1 : 0;
  inRows(bitmap, (y, rows) => {
    // Each band comes with the rows around it that discs reach.
    const first = Math.max(0, y - diameterPx);
    const last = Math.min(height, y + rows + diameterPx);
    const at = memory.addressOf(bitmap.bits.subarray(first * rowBytes, last * rowBytes), from);
    const shapeAt = memory.addressOf(lengths, disc);
    memory.kernels.thinBits(at, rowBytes, width, last - first, diameterPx, shapeAt, flip, spread, to);
    memory.store(to + (y - first) * rowBytes, bits.subarray(y * rowBytes, (y + rows) * rowBytes));
  });
  return { ...bitmap, bits };
}

/**
 * A disc on the grid of pixels: how many each of its rows has, those whose middles lie within half the diameter of its own.
 * @param diameterPx whole pixels
 */
export function discRows(diameterPx: number): Uint8Array {
  return Uint8Array.from({ length: diameterPx }, (_, row) => {
    const down = row - (diameterPx - 1) / 2;
    const half = Math.sqrt((diameterPx / 2) ** 2 - down * down);
    // As many whole steps to both sides as the middle of the disc allows, on a pixel or between two.
    return diameterPx % 2 === 1 ? 2 * Math.floor(half) + 1 : 2 * Math.floor(half + 0.5);
  });
}
