import type { SizePx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, channelsOf, type Raster } from '../model/raster.js';

/** Making bitmaps from samples and back, and asking them. */

const wordBits = 64;

/** Samples that are packed or unpacked at a time: few enough for the processor's cache. */
const bandSamples = 1 << 18;

/** Bytes of a bitmap's row. */
export function rowBytesOf(width: number): number {
  return Math.ceil(width / wordBits) * (wordBits / 8);
}

/** A bitmap without a bit set. */
export function emptyBitmap({ width, height }: SizePx): Bitmap {
  const rowBytes = rowBytesOf(width);
  return { width, height, rowBytes, bits: new Uint8Array(rowBytes * height) };
}

/**
 * A bit wherever a sample is at least `least` (1 to 255).
 * @param samples width x height x 1
 */
export function bitmapOf(samples: Uint8Array, size: SizePx, least: number, memory: KernelMemory): Bitmap {
  return packed(samples, size, least, false, memory);
}

/** As `bitmapOf`, of samples that are light, 0 black to 255 white: what counts is 255 less each. */
export function bitmapOfLight(
  samples: Uint8Array,
  size: SizePx,
  least: number,
  memory: KernelMemory,
): Bitmap {
  return packed(samples, size, least, true, memory);
}

function packed(
  samples: Uint8Array,
  size: SizePx,
  least: number,
  areLight: boolean,
  memory: KernelMemory,
): Bitmap {
  const { width, height } = size;
  if (samples.length !== width * height) {
    throw new Error(`expected ${width * height} samples but received ${samples.length}`);
  }
  const bitmap = emptyBitmap(size);
  const { rowBytes, bits } = bitmap;
  const [from, to] = memory.scratch(rowsAtOnce(width) * width, rowsAtOnce(width) * rowBytes);
  inRows(bitmap, (y, rows) => {
    const at = memory.addressOf(samples.subarray(y * width, (y + rows) * width), from);
    memory.kernels.packRows(at, to, width, rows, least, areLight ? 255 : 0);
    memory.store(to, bits.subarray(y * rowBytes, (y + rows) * rowBytes));
  });
  return bitmap;
}

/** A bit wherever two pictures of one size and kind differ. */
export function unlikePixels(one: Raster, other: Raster, memory: KernelMemory): Bitmap {
  const { width } = one;
  const bitmap = emptyBitmap(one);
  const { rowBytes, bits } = bitmap;
  const samplesInRow = width * channelsOf(one);
  const pixelBytes = channelsOf(one) * one.data.BYTES_PER_ELEMENT;
  const bandBytes = rowsAtOnce(width) * width * pixelBytes;
  const [from, beside, to] = memory.scratch(bandBytes, bandBytes, rowsAtOnce(width) * rowBytes);
  inRows(bitmap, (y, rows) => {
    const [a, b] = [one, other].map(({ data }) => data.subarray(y * samplesInRow, (y + rows) * samplesInRow));
    const [first, second] = [memory.addressOf(a, from), memory.addressOf(b, beside)];
    memory.kernels.markUnlike(first, second, width, rows, pixelBytes, to);
    memory.store(to, bits.subarray(y * rowBytes, (y + rows) * rowBytes));
  });
  return bitmap;
}

/** Samples of a bitmap, apart from the arena: `level` where a bit is set, 0 elsewhere. */
export function samplesOf(bitmap: Bitmap, level: number, memory: KernelMemory): Uint8Array {
  const samples = new Uint8Array(bitmap.width * bitmap.height);
  unpack(bitmap, level, samples, memory);
  return samples;
}

/** Writes `level` into each sample whose bit is set, and 0 into the others. */
export function unpack(
  { width, height, rowBytes, bits }: Bitmap,
  level: number,
  samples: Uint8Array,
  memory: KernelMemory,
): void {
  const [from, to] = memory.scratch(rowsAtOnce(width) * rowBytes, rowsAtOnce(width) * width);
  inRows({ width, height }, (y, rows) => {
    const into = samples.subarray(y * width, (y + rows) * width);
    const at = memory.writableAddress(into, to);
    memory.kernels.unpackRows(
      memory.addressOf(bits.subarray(y * rowBytes, (y + rows) * rowBytes), from),
      rowBytes,
      at,
      width,
      rows,
      level,
    );
    memory.store(at, into);
  });
}

/** How many bits are set. */
export function countSet({ bits }: Bitmap, memory: KernelMemory): number {
  const [place] = memory.scratch(bandSamples);
  let count = 0;
  for (let start = 0; start < bits.length; start += bandSamples) {
    const band = bits.subarray(start, start + bandSamples);
    count += memory.kernels.countBits(memory.addressOf(band, place), band.length);
  }
  return count;
}

/** Rows of so many pixels that are worked on at a time. */
export function rowsAtOnce(width: number): number {
  return Math.max(1, Math.floor(bandSamples / width));
}

/** Calls `work` for one band of rows after the other. */
export function inRows({ width, height }: SizePx, work: (y: number, rows: number) => void): void {
  const most = rowsAtOnce(width);
  for (let y = 0; y < height; y += most) work(y, Math.min(most, height - y));
}

/** A bitmap's bits as words of 32, the first pixel the lowest bit. */
export function wordsOf({ bits }: Bitmap): Uint32Array {
  // A whole bitmap owns its memory; what is a window into another's is copied.
  const own = bits.byteOffset % 4 === 0 ? bits : bits.slice();
  return new Uint32Array(own.buffer, own.byteOffset, own.length >> 2);
}

/** The place of the lowest bit that is set in a word other than 0. */
export function lowestBit(word: number): number {
  return 31 - Math.clz32(word & -word);
}

/**
 * Finds the columns where a row turns from not set to set and back, beginning with not set.
 * @param words of the bitmap, as `wordsOf` gives them
 * @param changes receives the columns, ascending; may end in the width where the row ends set
 * @returns how many there are
 */
export function findChanges(
  words: Uint32Array,
  firstWord: number,
  wordsInRow: number,
  changes: Uint32Array,
): number {
  let count = 0;
  // All ones while what was last found is set, so that only what differs from it is left in a word.
  let last = 0;
  for (let at = 0; at < wordsInRow; at++) {
    let differs = words[firstWord + at] ^ last;
    while (differs !== 0) {
      const bit = lowestBit(differs);
      changes[count++] = at * 32 + bit;
      last = ~last;
      differs = ~differs & (-1 << bit);
    }
  }
  return count;
}

/** Calls `visit` for each pixel that is set, row by row: its index, and where it is. */
export function eachSet(bitmap: Bitmap, visit: (i: number, x: number, y: number) => void): void {
  const words = wordsOf(bitmap);
  const wordsInRow = bitmap.rowBytes >> 2;
  for (let at = 0; at < words.length; at++) {
    if (words[at] === 0) continue;
    const y = Math.floor(at / wordsInRow);
    const left = (at - y * wordsInRow) * 32;
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
      const x = left + lowestBit(rest);
      visit(y * bitmap.width + x, x, y);
    }
  }
}

/** As `eachSet`, of one row. */
export function eachSetInRow(bitmap: Bitmap, y: number, visit: (i: number, x: number) => void): void {
  const { width, rowBytes, bits } = bitmap;
  const first = y * rowBytes;
  const words = wordsOf({ ...bitmap, bits: bits.subarray(first, first + rowBytes) });
  for (let at = 0; at < words.length; at++) {
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
      const x = at * 32 + lowestBit(rest);
      visit(y * width + x, x);
    }
  }
}

/** What is set in both of two bitmaps of one size. */
export function both(one: Bitmap, other: Bitmap, memory: KernelMemory): Bitmap {
  return joined(one, other, 'bitsOfBoth', memory);
}

/** What is set in either of two bitmaps of one size. */
export function either(one: Bitmap, other: Bitmap, memory: KernelMemory): Bitmap {
  return joined(one, other, 'bitsOfEither', memory);
}

/** What is set in the first of two bitmaps of one size and not in the other. */
export function without(one: Bitmap, other: Bitmap, memory: KernelMemory): Bitmap {
  return joined(one, other, 'bitsWithout', memory);
}

function joined(
  one: Bitmap,
  other: Bitmap,
  by: 'bitsOfBoth' | 'bitsOfEither' | 'bitsWithout',
  memory: KernelMemory,
): Bitmap {
  const result = emptyBitmap(one);
  const [from, beside, to] = memory.scratch(bandSamples, bandSamples, bandSamples);
  for (let start = 0; start < result.bits.length; start += bandSamples) {
    const [a, b, into] = [one, other, result].map(({ bits }) => bits.subarray(start, start + bandSamples));
    memory.kernels[by](memory.addressOf(a, from), memory.addressOf(b, beside), into.length, to);
    memory.store(to, into);
  }
  return result;
}
