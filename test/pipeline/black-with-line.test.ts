import { describe, expect, test } from 'vitest';
import { type Bitmap, isSet, type Plate } from '../../pipeline/model/raster.js';
import { plateWithLine } from '../../pipeline/outputs/black-with-line.js';

/** Numbers that look like no pattern, the same on every run. */
function noise(count: number, seed: number): Uint8Array {
  let state = seed;
  return Uint8Array.from({ length: count }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state >>> 24;
  });
}

function lineOf(width: number, height: number): Bitmap {
  const rowBytes = Math.ceil(width / 64) * 8;
  const bits = new Uint8Array(rowBytes * height);
  noise(width * height, 7).forEach((value, i) => {
    const [x, y] = [i % width, Math.floor(i / width)];
    if (value < 40) bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
  });
  return { width, height, rowBytes, bits };
}

const blackOf = (width: number, height: number): Plate => ({ width, height, data: noise(width * height, 3) });

describe('a black plate that holds the line', () => {
  test.each([
    ['twice as fine', 37, 23, 74, 46],
    ['16 to 7, as 800 to 350 ppi', 21, 14, 48, 32],
    ['as fine as the colour', 65, 5, 65, 5],
  ])('is, sample by sample, the larger of black enlarged and line: %s', (_, cw, ch, lw, lh) => {
    const [black, line] = [blackOf(cw, ch), lineOf(lw, lh)];
    const made = plateWithLine(black, line);
    expect([made.width, made.height]).toEqual([lw, lh]);
    const wanted = Uint8Array.from({ length: lw * lh }, (_, i) => {
      const [x, y] = [i % lw, Math.floor(i / lw)];
      const column = Math.floor(((x + 0.5) * cw) / lw);
      const row = Math.floor(((y + 0.5) * ch) / lh);
      return Math.max(black.data[row * cw + column], isSet(line, x, y) ? 255 : 0);
    });
    expect(made.data).toEqual(wanted);
  });
});
