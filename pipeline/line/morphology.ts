import { desk } from '../kernels/desk.js';
import type { Bitmap } from '../raster.js';
import { rowBytesOf } from './bitmap.js';

/** Growing and shrinking of masks by a square. */

/**
 * Shrinks a mask by `distancePx` on all sides. What runs off the page counts as going on beyond it, so a black that
 * bleeds is not pulled back from the edge of the page.
 */
export function shrink(mask: Bitmap, distancePx: number): Bitmap {
  // Shrinking is growing what is not set; what is not set ends at the edge of the page.
  return grown(mask, distancePx, true);
}

/** Grows a mask by `distancePx` on all sides. */
export function grow(mask: Bitmap, distancePx: number): Bitmap {
  return grown(mask, distancePx, false);
}

function grown(mask: Bitmap, distancePx: number, whatIsNotSet: boolean): Bitmap {
  const { width, height, rowBytes } = mask;
  const roomRow = rowBytesOf(width + 2 * distancePx);
  const { length } = mask.bits;
  const [from, room, to] = desk().lay(length, roomRow * (height + 2 * distancePx), length);
  desk().put(from, mask.bits);
  const flip = whatIsNotSet ? 1 : 0;
  desk().kernels.growBits(from, rowBytes, width, height, distancePx, flip, room, roomRow, to);
  const bits = new Uint8Array(length);
  desk().take(to, bits);
  return { ...mask, bits };
}
