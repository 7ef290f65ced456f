import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { grow, shrink } from '../../../pipeline/line/morphology.js';
import type { Bitmap } from '../../../pipeline/model/raster.js';
import { bitsOf, plateOfBits } from '../../helpers/rasters.js';

const arena = new PageArena();

/** The definition, pixel by pixel: set if any (or all) of the square is set; beyond the page nothing decides. */
function bySquare(mask: Uint8Array, width: number, height: number, distance: number, all: boolean): number[] {
  return Array.from(mask, (_, i) => {
    const [x, y] = [i % width, Math.floor(i / width)];
    let result = all;
    for (let v = Math.max(0, y - distance); v <= Math.min(height - 1, y + distance); v++) {
      for (let u = Math.max(0, x - distance); u <= Math.min(width - 1, x + distance); u++) {
        if ((mask[v * width + u] !== 0) !== all) result = !all;
      }
    }
    return result ? 255 : 0;
  });
}

/** A mask with a share of its pixels set, the same on every run. */
function speckled(width: number, height: number, share: number): Uint8Array {
  let state = width * 7919 + height;
  return Uint8Array.from({ length: width * height }, () => {
    state = (state * 1103515245 + 12345) % 2 ** 31;
    return state / 2 ** 31 < share ? 200 : 0;
  });
}

const samplesOf = (bitmap: Bitmap) => [...plateOfBits(bitmap).data];

/** Widths around one and two words of 64 pixels, distances below, at and beyond them. */
const cases = [
  [1, 1, 1],
  [31, 9, 1],
  [32, 20, 2],
  [33, 7, 4],
  [64, 40, 9],
  [70, 30, 16],
  [65, 12, 3],
  [90, 5, 40],
  [128, 6, 64],
  [150, 4, 70],
] as const;

describe('growing and shrinking a mask by a square', () => {
  it.each(cases)('does to %i x %i pixels by %i what the definition says', (width, height, distance) => {
    for (const share of [0.02, 0.5, 0.98]) {
      const mask = speckled(width, height, share);
      const bits = bitsOf({ width, height, data: mask });
      expect(samplesOf(grow(bits, distance, arena))).toEqual(bySquare(mask, width, height, distance, false));
      expect(samplesOf(shrink(bits, distance, arena))).toEqual(bySquare(mask, width, height, distance, true));
    }
  });

  it('leaves a mask as it is at a distance of 0', () => {
    const bits = bitsOf({ width: 3, height: 2, data: Uint8Array.of(0, 255, 255, 0, 0, 255) });
    expect(samplesOf(grow(bits, 0, arena))).toEqual([0, 255, 255, 0, 0, 255]);
    expect(samplesOf(shrink(bits, 0, arena))).toEqual([0, 255, 255, 0, 0, 255]);
  });

  it('sets nothing beyond the width, where words end', () => {
    const all = bitsOf({ width: 70, height: 3, data: new Uint8Array(210).fill(255) });
    for (const result of [grow(all, 5, arena), shrink(all, 5, arena)]) expect(result.bits).toEqual(all.bits);
  });
});
