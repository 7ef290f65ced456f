import type { PixelBox } from '../../config/units.js';
import { type Bitmap, isSet } from '../model/raster.js';
import { emptyBitmap, wordsOf } from './bitmap.js';

const wordBits = 32;

/** A part of a bitmap, bit for bit; beyond the bitmap its outermost bits are repeated. */
export function cutBits(bitmap: Bitmap, box: PixelBox): Bitmap {
  const part = emptyBitmap(box);
  const from = wordsOf(bitmap);
  const to = new Uint32Array(part.bits.buffer);
  const [fromWords, toWords] = [bitmap.rowBytes / 4, part.rowBytes / 4];
  for (let y = 0; y < box.height; y++) {
    const row = Math.min(Math.max(box.top + y, 0), bitmap.height - 1);
    const words = from.subarray(row * fromWords, (row + 1) * fromWords);
    shiftRow(words, to.subarray(y * toWords, (y + 1) * toWords), box.left);
    repeatSides(bitmap, row, part, y, box);
  }
  return part;
}

/** Copies bits so that the one at `left` comes first; what lies beyond the row is not set. */
function shiftRow(from: Uint32Array, to: Uint32Array, left: number): void {
  const skipped = Math.floor(left / wordBits);
  const shift = left - skipped * wordBits;
  for (let at = 0; at < to.length; at++) {
    const low = from[at + skipped] ?? 0;
    const high = from[at + skipped + 1] ?? 0;
    to[at] = shift === 0 ? low : (low >>> shift) | (high << (wordBits - shift));
  }
}

/** Sets or clears what lies beyond the bitmap at both sides, and clears what the shift brought beyond the part's own width. */
function repeatSides(bitmap: Bitmap, row: number, part: Bitmap, y: number, { left, width }: PixelBox): void {
  const behind = Math.min(width, bitmap.width - left);
  if (left < 0 && isSet(bitmap, 0, row)) for (let x = 0; x < -left; x++) setBit(part, x, y, true);
  const last = isSet(bitmap, bitmap.width - 1, row);
  for (let x = behind; x < width; x++) setBit(part, x, y, last);
  for (let x = width; x < part.rowBytes * 8; x++) setBit(part, x, y, false);
}

function setBit({ rowBytes, bits }: Bitmap, x: number, y: number, isInk: boolean): void {
  const at = y * rowBytes + (x >> 3);
  if (isInk) bits[at] |= 1 << (x & 7);
  else bits[at] &= ~(1 << (x & 7));
}
