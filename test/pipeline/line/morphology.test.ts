import { describe, expect, it } from 'vitest';
import { grow, shrink } from '../../../pipeline/line/morphology.js';

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

/** Widths around one and two words of 32 pixels, distances below, at and beyond them. */
const cases = [
  [1, 1, 1],
  [31, 9, 1],
  [32, 20, 2],
  [33, 7, 4],
  [64, 40, 9],
  [70, 30, 16],
  [90, 5, 40],
] as const;

describe('growing and shrinking a mask by a square', () => {
  it.each(cases)('does to %i x %i pixels by %i what the definition says', (width, height, distance) => {
    for (const share of [0.02, 0.5, 0.98]) {
      const mask = speckled(width, height, share);
      expect([...grow(mask, width, height, distance)]).toEqual(
        bySquare(mask, width, height, distance, false),
      );
      expect([...shrink(mask, width, height, distance)]).toEqual(
        bySquare(mask, width, height, distance, true),
      );
    }
  });

  it('leaves a mask as it is at a distance of 0, as 0 and 255', () => {
    const mask = Uint8Array.of(0, 7, 255, 0, 0, 1);
    expect([...grow(mask, 3, 2, 0)]).toEqual([0, 255, 255, 0, 0, 255]);
    expect([...shrink(mask, 3, 2, 0)]).toEqual([0, 255, 255, 0, 0, 255]);
  });
});
