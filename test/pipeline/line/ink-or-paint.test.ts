import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { liftBlack, liftBlackInk } from '../../../pipeline/line/lift.js';
import type { Plate, Raster } from '../../../pipeline/model/raster.js';
import { asJpeg, inkedPage, inkGrounds, inkStyles, shareNear } from '../../helpers/inked-pages.js';
import { paintedPage, paintedStyles } from '../../helpers/painted-pages.js';
import { drawn, firstDifference, pixelAt } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();
const size = { ppi: 300, depthPx: 14 };
const lift = (page: Raster) => liftBlack(page, lineSettings, size, arena);
const deep = (page: Raster): Raster => ({
  ...page,
  data: Uint16Array.from(page.data, (value) => value * 257),
});

/** The plate of a page on which there is ink. */
function plateOf(page: Raster): Plate {
  const { line } = lift(page);
  if (line === undefined) throw new Error('nothing was lifted');
  return line;
}

describe('from a painted page nothing is lifted, and not a number changes', () => {
  test.each(paintedStyles)('%s', (style) => {
    const page = paintedPage(style);
    const { line, colour } = lift(page);
    expect(line).toBeUndefined();
    expect(firstDifference(colour, paintedPage(style))).toBeUndefined();
  });

  test.each(paintedStyles)('%s, from a JPEG file', async (style) => {
    expect(lift(await asJpeg(paintedPage(style), 85)).line).toBeUndefined();
  });

  test('in 16 bit', () => {
    expect(lift(deep(paintedPage('soft brush'))).line).toBeUndefined();
  });

  test('in grey', () => {
    const { width, height, data } = paintedPage('pencil');
    const grey = drawn(width, height, 'grey', (x, y) => [data[3 * (y * width + x)]]);
    expect(lift(grey).line).toBeUndefined();
  });

  test('in CMYK, where black ink is of many tones', () => {
    const { width, height, data } = paintedPage('airbrush');
    const inks = drawn(width, height, 'cmyk', (x, y) => [40, 30, 30, 255 - data[3 * (y * width + x)]]);
    const { line, colour } = liftBlackInk(inks, lineSettings, size, arena);
    expect(line).toBeUndefined();
    expect(colour).toBe(inks);
  });
});

/** At least this share of the ink lies within a pixel of where it should, both ways: our own choice. */
const leastNear = 0.995;

describe('from an inked page the line comes within a pixel of the inks that it was made from', () => {
  const expectInks = (page: Raster, inks: Plate) => {
    const line = plateOf(page);
    expect(shareNear(line, inks)).toBeGreaterThanOrEqual(leastNear);
    expect(shareNear(inks, line)).toBeGreaterThanOrEqual(leastNear);
  };
  const pages = inkStyles.flatMap((style) => inkGrounds.map((ground) => [style, ground] as const));
  // Dots of a tone over a neutral colour as dark as this leave too little between them that is brighter than black.
  const telling = pages.filter(([style, ground]) => style !== 'screened tone' || ground !== 'dark neutral');

  test.each(telling)('%s over colour: %s', (style, ground) => {
    const { page, inks } = inkedPage(style, ground);
    expectInks(page, inks);
  });

  test.each(inkStyles)('%s in black that a conversion made (35, 31, 32)', (style) => {
    const { page, inks } = inkedPage(style, 'bright', [35, 31, 32]);
    expectInks(page, inks);
  });

  test.each([
    ['brush', 'bright'],
    ['brush', 'night in flat colour'],
    ['pen', 'gradient'],
    ['hatching', 'paper'],
    ['spotted blacks', 'painted'],
  ])('%s over colour: %s, from a JPEG file', async (style, ground) => {
    const { page, inks } = inkedPage(style, ground);
    expectInks(await asJpeg(page, 85), inks);
  });

  test('in 16 bit', () => {
    const { page, inks } = inkedPage('brush', 'bright');
    expectInks(deep(page), inks);
  });
});

describe('ink over the colour beneath it', () => {
  test.each(inkGrounds)('shows the page as it was: %s', (ground) => {
    const { page } = inkedPage('brush', ground);
    const before = page.data.slice();
    const { line, colour } = lift(page);
    let most = 0;
    for (let i = 0; i < before.length; i++) {
      const amount = (line?.data[Math.floor(i / 3)] ?? 0) / 255;
      most = Math.max(most, Math.abs(colour.data[i] * (1 - amount) - before[i]));
    }
    // What a soft edge may miss (settle-edge.ts), and the rounding of its amount.
    expect(most).toBeLessThanOrEqual(8 + 1);
  });

  test('never inks the paper beside a panel, nor turns its dark paint into paper', () => {
    // A panel of dark paint, its frame, and the white gutter: a corner, where colour comes from all sides.
    const isFrame = (x: number, y: number) =>
      (x >= 60 && x < 64 && y >= 60) || (y >= 60 && y < 64 && x >= 60);
    const paint = [26, 30, 44];
    const page = drawn(200, 200, 'rgb', (x, y) => {
      if (isFrame(x, y)) return [0, 0, 0];
      return x > 60 && y > 60 ? paint : [255, 255, 255];
    });
    const { line, colour } = lift(page);
    for (let y = 10; y < 190; y++) {
      for (let x = 10; x < 190; x++) {
        if (isFrame(x, y)) continue;
        const wanted = x > 60 && y > 60 ? paint : [255, 255, 255];
        expect([x, y, line?.data[y * 200 + x], ...pixelAt(colour, x, y)]).toEqual([x, y, 0, ...wanted]);
      }
    }
  });
});

describe('from a page that is inked on the left and painted on the right', () => {
  const side = 640;
  test.each(['soft brush', 'grain on paint', 'a night room', 'watercolour on dark paper', 'pencil'])(
    'the line is lifted, and the paint stays: %s',
    (style) => {
      const painted = paintedPage(style, side);
      const { page, inks } = inkedPage('brush', 'bright', [0, 0, 0], side);
      const isPainted = (i: number) => i % side >= side / 2;
      const mixed = drawn(side, side, 'rgb', (x, y) => pixelAt(isPainted(x) ? painted : page, x, y));
      const line = plateOf(mixed);
      const here = { ...inks, data: inks.data.map((ink, i) => (isPainted(i) ? 0 : ink)) };
      expect(shareNear(here, line)).toBeGreaterThanOrEqual(leastNear);
      expect(shareNear(line, here)).toBeGreaterThanOrEqual(leastNear);
    },
  );
});
