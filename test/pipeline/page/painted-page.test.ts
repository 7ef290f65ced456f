import { describe, expect, test } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import { inkedPage } from '../../helpers/inked-pages.js';
import { writeOpenRaster } from '../../helpers/openraster-fixtures.js';
import { linePx, pageThrough, plainTiff } from '../../helpers/page-through.js';
import { paintedPage } from '../../helpers/painted-pages.js';
import { drawn, firstDifference, pixelAt } from '../../helpers/rasters.js';

// From the dropped file to the composite: what was painted is what prints.

const { width, height } = linePx;
/** The left of a square page that is as high as these are. */
const cut = (square: Raster) => drawn(width, height, 'rgb', (x, y) => pixelAt(square, x, y));
const asPainted = '    print: { line: { lift: false } }';

describe.each(['soft brush', 'a night room', 'pencil'])('a painted page: %s', (style) => {
  const file = plainTiff(cut(paintedPage(style, height)), 200);

  test('prints as it does where nothing may be lifted, and a note says what it was taken for', async () => {
    const page = await pageThrough({ 'p1.tif': file });
    const kept = await pageThrough({ 'p1.tif': file }, asPainted);
    expect(page.line).toBeUndefined();
    expect(page.composite).toBeDefined();
    if (page.composite && kept.composite) {
      expect(firstDifference(page.composite, kept.composite)).toBeUndefined();
    }
    const noted = page.report.findings.find(({ code }) => code === 'page-painted');
    expect(noted).toMatchObject({ severity: 'note', measured: expect.stringMatching(/% of the edges/) });
    expect(page.report.measures?.lifted).toBe(false);
    expect(page.report.findings.map(({ code }) => code)).not.toContain('black-lifted');
    expect(page.report.findings.map(({ code }) => code)).not.toContain('line-ppi-low');
  });
});

test('painted layers of which none is line stay colour as well', async () => {
  const paint = cut(paintedPage('soft brush', height));
  const data = new Uint8Array(width * height * 4).fill(255);
  for (let i = 0; i < width * height; i++) data.set(paint.data.subarray(i * 3, i * 3 + 3), i * 4);
  const stack = `<image w="${width}" h="${height}"><stack><layer name="paint" src="data/1.png"/></stack></image>`;
  const ora = writeOpenRaster(stack, { 'data/1.png': { width, height, colourType: 6, bits: 8, data } });
  const page = await pageThrough({ 'p1.ora': ora });
  const codes = page.report.findings.map(({ code }) => code);
  expect(page.line).toBeUndefined();
  expect(codes).toContain('page-painted');
  expect(codes).not.toContain('line-unnamed');
});

test('an inked page says how much of it was lifted', async () => {
  const { page: art } = inkedPage('spotted blacks', 'bright', [0, 0, 0], height);
  const page = await pageThrough({ 'p1.tif': plainTiff(cut(art), 200) });
  expect(page.line).toBeDefined();
  const noted = page.report.findings.find(({ code }) => code === 'black-lifted');
  expect(noted?.measured).toMatch(/^\d+\.\d % of \d+ x \d+ mm/);
  expect(page.report.findings.map(({ code }) => code)).not.toContain('page-painted');
});
