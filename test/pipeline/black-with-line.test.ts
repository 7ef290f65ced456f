import { describe, expect, test } from 'vitest';
import { type Bitmap, isSet, type Plate } from '../../pipeline/model/raster.js';
import { plateWithLine } from '../../pipeline/outputs/black-with-line.js';
import { colourPx, linePx, type PageThrough, pageThrough } from '../helpers/page-through.js';
import { drawn } from '../helpers/rasters.js';
import { inksTiffOf, tiffOf } from '../helpers/small-issue.js';

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

describe('the plates of a page with blackPlate: withLine', () => {
  test('are complete by themselves: black as fine as the line, all else as without', async () => {
    const colour = drawn(linePx.width, linePx.height, 'rgb', (x, y) => [x >> 1, 90, 255 - (y >> 2)]);
    const inks = drawn(linePx.width, linePx.height, 'grey', (x, y) => [x % 60 < 3 || y % 75 < 4 ? 0 : 255]);
    const files = { 'p1 colour.tif': await tiffOf(colour), 'p1 line.tif': await inksTiffOf(inks) };
    const without = await pageThrough(files);
    const complete = await pageThrough(files, '    print: {blackPlate: withLine}');
    const { line } = without;
    if (line === undefined) throw new Error('the page has no line plate');
    const [, , , black] = without.plates;
    const wanted = line.map((ink, i) => {
      const [x, y] = [i % linePx.width, Math.floor(i / linePx.width)];
      return Math.max(ink, black[(y >> 1) * colourPx.width + (x >> 1)]);
    });
    expect(complete.plates[3]).toEqual(wanted);
    const others = ({ report }: PageThrough) =>
      report.outputs.flatMap(({ role, sha256 }) => (role === 'black' ? [] : [[role, sha256]]));
    expect(others(complete)).toEqual(others(without));
    const told = complete.report.outputs.find(({ role }) => role === 'black');
    expect(told).toMatchObject({ ...linePx, ppi: 200 });
  });
});

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
