import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { coverageOf } from '../../../pipeline/line/coverage.js';
import { fillBeneath, fillDepthPx } from '../../../pipeline/line/fill-beneath.js';
import { liftBlack } from '../../../pipeline/line/lift.js';
import type { Plate } from '../../../pipeline/model/raster.js';
import { bitsOf, drawn, pixelAt, plateOf } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();

const red = [208, 48, 48];
const black = [0, 0, 0];
const paper = [255, 255, 255];
const filled = (line: Plate, depthPx: number) => {
  const picture = drawn(line.width, line.height, 'rgb', (x, y) =>
    line.data[y * line.width + x] > 0 ? black : red,
  );
  fillBeneath(picture, bitsOf(line), line.data, depthPx, arena);
  return picture;
};

test('deep inside a large black no colour is carried in: paper, for support ink to take', () => {
  const colour = filled(
    plateOf(100, 100, (x) => (x > 20 ? 255 : 0)),
    14,
  );
  expect(pixelAt(colour, 22, 50)).toEqual(red);
  expect(pixelAt(colour, 80, 50)).toEqual(paper);
});

describe('colour is carried in', () => {
  test('to the middle of every black that is too narrow for support ink, at any resolution', () => {
    const support = { minWidthMm: 2 };
    for (const ppi of [150, 300, 600]) {
      const widthPx = Math.floor((2 / 25.4) * ppi);
      const colour = filled(
        plateOf(widthPx + 40, 60, (x) => (x >= 20 && x < 20 + widthPx ? 255 : 0)),
        fillDepthPx(support, ppi),
      );
      for (let x = 0; x < colour.width; x++) expect(pixelAt(colour, x, 30), `${ppi} ppi, ${x}`).toEqual(red);
    }
  });

  test('half a millimetre at least, where support ink is asked for beneath narrower blacks', () => {
    expect(fillDepthPx({ minWidthMm: 0.2 }, 600)).toBe(2 + 12);
  });
});

describe('between the strokes of a hatching the colour stays, and comes beneath them', () => {
  const gaps = [1, 2, 3, 4, 5, 6];

  test.each(gaps)('with gaps of %i pixels on a flat page', (gap) => {
    const isStroke = (y: number) => y >= 60 && y < 200 && y % (4 + gap) < 4;
    const page = drawn(300, 260, 'rgb', (x, y) => (x >= 60 && x < 240 && isStroke(y) ? black : red));
    const { colour } = liftBlack(page, lineSettings, { ppi: 600, depthPx: 26 }, arena);
    for (let y = 0; y < 260; y++) expect(pixelAt(colour, 150, y), `row ${y}`).toEqual(red);
  });

  test.each(gaps)('with gaps of %i pixels where it is crossed by another', (gap) => {
    const isStroke = (at: number) => at % (4 + gap) < 4;
    const page = drawn(300, 260, 'rgb', (x, y) =>
      x >= 60 && x < 240 && y >= 60 && y < 200 && (isStroke(x) || isStroke(y)) ? black : red,
    );
    const { colour } = liftBlack(page, lineSettings, { ppi: 600, depthPx: 26 }, arena);
    for (let x = 0; x < 300; x++) expect(pixelAt(colour, x, 130), `column ${x}`).toEqual(red);
  });

  test.each([1, 2, 3, 5, 7])(
    'with gaps of %i pixels where the colour has half the resolution of the line',
    (gap) => {
      const period = 4 + gap;
      const line = bitsOf(plateOf(400, 400, (x, y) => (x >= 100 && x < 300 && y % period < 4 ? 255 : 0)));
      const coverage = coverageOf(line, { width: 200, height: 200 }, arena);
      const picture = drawn(200, 200, 'rgb', (x, y) => {
        const free = 1 - coverage.data[y * 200 + x] / 255;
        return red.map((sample) => Math.round(sample * free));
      });
      fillBeneath(
        picture,
        bitsOf({ ...coverage, data: coverage.data.map((share) => (share > 0 ? 255 : 0)) }),
        coverage.data,
        14,
        arena,
      );
      for (let y = 0; y < 200; y++) {
        const off = pixelAt(picture, 100, y).map((sample, i) => Math.abs(sample - red[i]));
        expect(Math.max(...off), `row ${y}`).toBeLessThanOrEqual(3);
      }
    },
  );
});

test('a clean colour further off is preferred to the soft edge of a line', () => {
  const soft = drawn(60, 20, 'rgb', (x) => (x < 20 ? black : x < 22 ? [104, 24, 24] : red));
  const line = plateOf(60, 20, (x) => (x < 20 ? 255 : 0));
  fillBeneath(soft, bitsOf(line), line.data, 14, arena);
  for (let x = 8; x < 60; x++) expect(pixelAt(soft, x, 10)).toEqual(red);
});
