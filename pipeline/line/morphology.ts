import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap } from '../model/raster.js';
import { inRows, rowBytesOf, rowsAtOnce } from './bitmap.js';

/** Growing and shrinking of masks by a square. */

/**
 * Shrinks a mask by `distancePx` on all sides. What runs off the page counts as going on beyond it, so a black that
 * bleeds is not pulled back from the edge of the page.
 */
export function shrink(mask: Bitmap, distancePx: number, memory: KernelMemory): Bitmap {
  // Shrinking is growing what is not set; what is not set ends at the edge of the page.
  return grown(mask, distancePx, true, memory);
}

/** Grows a mask by `distancePx` on all sides. */
export function grow(mask: Bitmap, distancePx: number, memory: KernelMemory): Bitmap {
  return grown(mask, distancePx, false, memory);
}

function grown(mask: Bitmap, distancePx: number, whatIsNotSet: boolean, memory: KernelMemory): Bitmap {
  const { width, height, rowBytes } = mask;
  const spreadRow = rowBytesOf(width + 2 * distancePx);
  const flip = whatIsNotSet ? 1 : 0;
  const bits = new Uint8Array(mask.bits.length);
  const mostRows = Math.min(height, rowsAtOnce(width) + 2 * distancePx);
  const [from, spread, to] = memory.scratch(
    mostRows * rowBytes,
    (mostRows + 2 * distancePx) * spreadRow,
    mostRows * rowBytes,
  );
  inRows(mask, (y, rows) => {
    // Each band comes with the rows around it that reach into it.
    const first = Math.max(0, y - distancePx);
    const last = Math.min(height, y + rows + distancePx);
    const at = memory.addressOf(mask.bits.subarray(first * rowBytes, last * rowBytes), from);
    memory.kernels.growBits(at, rowBytes, width, last - first, distancePx, flip, spread, spreadRow, to);
    memory.store(to + (y - first) * rowBytes, bits.subarray(y * rowBytes, (y + rows) * rowBytes));
  });
  return { ...mask, bits };
}
