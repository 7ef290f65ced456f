import type { KernelMemory } from '../kernels/kernel-memory.js';
import { sumOf } from '../kernels/samples.js';
import { type Bitmap, channelsOf, isSet, type Plate, type Raster } from '../model/raster.js';
import { bitmapOf, eachSet, lowestBit, without, wordsOf } from './bitmap.js';

/** Takes ink off a plate, in place, wherever the mask (of any size) is set: the nearest mask pixel decides. */
export function withoutMasked(plate: Plate, mask: Bitmap): Plate {
  const { data } = plate;
  const columns = nearestIndex(plate.width, mask.width);
  const rows = nearestIndex(plate.height, mask.height);
  for (let y = 0, i = 0; y < plate.height; y++) {
    for (let x = 0; x < plate.width; x++, i++) {
      if (data[i] !== 0 && isSet(mask, columns[x], rows[y])) data[i] = 0;
    }
  }
  return plate;
}

/** As `withoutMasked`, for a line plate. */
export function lineWithoutMasked(line: Bitmap, mask: Bitmap): Bitmap {
  const kept = { ...line, bits: line.bits.slice() };
  const words = wordsOf(kept);
  const columns = nearestIndex(line.width, mask.width);
  const rows = nearestIndex(line.height, mask.height);
  const wordsInRow = line.rowBytes >> 2;
  for (let y = 0, at = 0; y < line.height; y++) {
    for (let x = 0; x < wordsInRow * 32; x += 32, at++) {
      for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
        const bit = lowestBit(rest);
        if (isSet(mask, columns[x + bit], rows[y])) words[at] &= ~(1 << bit);
      }
    }
  }
  return kept;
}

function nearestIndex(length: number, sourceLength: number): Int32Array {
  const index = new Int32Array(length);
  for (let i = 0; i < length; i++) {
    index[i] = Math.min(sourceLength - 1, Math.floor(((i + 0.5) * sourceLength) / length));
  }
  return index;
}

/** Ink wherever either plate has ink; both of one size. */
export function bothLines(first: Plate, second: Plate): Plate {
  const data = new Uint8Array(first.data);
  for (let i = 0; i < data.length; i++) data[i] = Math.max(data[i], second.data[i]);
  return { ...first, data };
}

/** Copies the pixels of one picture into another of its size and kind, wherever the mask is set. */
export function copyWithin(from: Raster, into: Raster, mask: Bitmap): void {
  const channels = channelsOf(from);
  eachSet(mask, (i) => {
    for (let at = i * channels; at < (i + 1) * channels; at++) into.data[at] = from.data[at];
  });
}

/** Where a plate had something and another of its size has nothing. */
export function noLonger(before: Plate, after: Plate, memory: KernelMemory): Bitmap {
  const stays = bitmapOf(after.data, before, 1, memory);
  return without(bitmapOf(before.data, before, 1, memory), stays, memory);
}

/** The share of a plate's samples, 0 to 1, that lies where a mask of its size is set. */
export function shareWithin(plate: Plate, mask: Bitmap, memory: KernelMemory): number {
  let within = 0;
  eachSet(mask, (i) => {
    within += plate.data[i];
  });
  const all = sumOf(plate.data, memory);
  return all === 0 ? 0 : within / all;
}
