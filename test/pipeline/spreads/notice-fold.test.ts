import { describe, expect, test } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import { processInkNames, type Separation } from '../../../pipeline/model/separation.js';
import { noticeFold } from '../../../pipeline/spreads/notice-fold.js';
import { specWith } from '../../helpers/specs.js';
import {
  bleedPx,
  columns,
  dabs,
  foldX,
  hatching,
  spreadSize,
  whitened,
} from '../../helpers/spread-halves.js';

const spec = specWith({ trim: { widthMm: 100, heightMm: 70 }, bleedMm: 3, colourPpi: 200, linePpi: 200 });
const { width, height } = spreadSize;

/** A grey picture as black ink. */
function inksOf(raster: Raster): Separation {
  const black = Uint8Array.from(raster.data, (light) => 255 - light);
  const inks = processInkNames.map((name) => ({
    name,
    plane: name === 'black' ? black : new Uint8Array(black.length),
  }));
  return { width: raster.width, height: raster.height, inks };
}

/** What is noticed at the fold: code and measure. */
const found = (raster: Raster) =>
  noticeFold(inksOf(raster), spec, 'mm').map(({ code, measured }) => [code, measured]);

/** Two pictures beside each other. */
function beside(left: Raster, right: Raster): Raster {
  const whole = left.width + right.width;
  const data = new Uint8Array(whole * height);
  for (let y = 0; y < height; y++) {
    data.set(left.data.subarray(y * left.width, (y + 1) * left.width), y * whole);
    data.set(right.data.subarray(y * right.width, (y + 1) * right.width), y * whole + left.width);
  }
  return { ...left, width: whole, data };
}

describe('the fold of a spread that came in halves', () => {
  const ink = dabs('grey');
  const art: Raster = { ...ink, data: ink.data.map((light) => (light === 0 ? 40 : 180)) };

  test.each([
    ['brush work', art],
    ['hatching', hatching()],
    ['white paper all over', whitened(art, 0, width)],
  ])('is quiet where %s runs across it', (_what, picture) => {
    expect(found(picture)).toEqual([]);
  });

  test('shows a gap where one half ends 2 mm short of it', () => {
    // 16 px of 200 ppi are 2.03 mm: arithmetic.
    expect(found(whitened(art, foldX - 16, foldX))).toEqual([['spread-gap', '2 mm (left 2 mm)']]);
  });

  test('shows the gap that both halves leave together', () => {
    expect(found(whitened(art, foldX - 16, foldX + 8))).toEqual([
      ['spread-gap', '3 mm (left 2 mm, right 1 mm)'],
    ]);
  });

  test('has no gap between panels that keep off the edge of the page', () => {
    const data = whitened(art, foldX - 40, foldX + 40).data.slice();
    data.fill(255, 0, 60 * width);
    data.fill(255, (height - 60) * width);
    expect(found({ ...art, data })).toEqual([]);
  });

  test('shows a strip that both halves have', () => {
    const twice = beside(columns(art, bleedPx, foldX), columns(art, foldX, foldX));
    expect(found(twice)).toEqual([['spread-double-fold', '3 mm']]);
  });

  test('shows it also in soft colour without any edges', () => {
    const soft: Raster = {
      ...art,
      data: art.data.map((_, i) => 120 + 90 * Math.sin((i % width) / 31 + Math.floor(i / width) / 57)),
    };
    const twice = beside(columns(soft, 48, foldX), columns(soft, foldX, foldX));
    expect(found(soft)).toEqual([]);
    expect(found(twice)).toEqual([['spread-double-fold', '6.1 mm']]);
  });
});
