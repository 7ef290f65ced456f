import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import { measureLettering } from '../../../pipeline/register/measure-lettering.js';
import { drawLettering, letteringPx, withBalloons } from '../../helpers/drawn-lettering.js';
import { drawPage } from '../../helpers/drawn-pages.js';
import { plateOfBits } from '../../helpers/rasters.js';

/** Pages of 70 x 107 mm: looked at at 300 ppi, drawn at 600. */
const page = { width: 825, height: 1260 };
const crop = { left: 0, top: 0, ...letteringPx };

const { line } = drawPage('pen', { ...page, seed: 3 });
const inks: Raster = {
  ...letteringPx,
  model: 'grey',
  alpha: false,
  data: plateOfBits(line).data.map((ink) => 255 - ink),
};
const inksWithBalloons = withBalloons(inks, await drawLettering(7, 'balloons'));

const fitOf = (lettering: Raster, below: Raster) =>
  measureLettering({ raster: lettering, crop }, { raster: below, crop }, page, 300).fit;

describe('ordinary lettering', () => {
  test.each([
    ['balloons and text over drawing', 'both', false],
    ['balloons and text on white paper', 'both', true],
    ['text over drawing', 'text', false],
    ['captions, each as far from the border of its panel', 'captions', false],
  ] as const)('shares nothing with its page, and nothing is said: %s', async (_, shows, onPaper) => {
    expect(fitOf(await drawLettering(7, shows, {}, onPaper), inks)).toBeUndefined();
  });

  test('stands in the balloons of its page', async () => {
    expect(fitOf(await drawLettering(7, 'text'), inksWithBalloons)).toBeUndefined();
    expect(fitOf(await drawLettering(7, 'text', { dy: 8 }), inksWithBalloons)).toBeUndefined();
  });

  test("of another page cannot be told from the page's own", async () => {
    expect(fitOf(await drawLettering(17, 'both'), inksWithBalloons)).toBeUndefined();
  });
});

describe('lettering that shows balloons of its page', () => {
  test.each([
    [{}, 0, 0],
    [{ dx: 1 }, 0.5, 0],
    [{ dy: 8 }, 0, 4],
    [{ dx: 60, dy: 20 }, 30, 10],
    [{ dx: -120 }, -60, 0],
  ])('lies where it is found: %j', async (laid, right, down) => {
    const fit = fitOf(await drawLettering(7, 'both', laid), inksWithBalloons);
    expect(fit?.by).toBe('shared');
    expect(Math.abs((fit?.movement.dx ?? 99) - right)).toBeLessThan(0.3);
    expect(Math.abs((fit?.movement.dy ?? 99) - down)).toBeLessThan(0.3);
  });

  test('is found turned by a tenth of a degree', async () => {
    const fit = fitOf(await drawLettering(7, 'both', { degrees: 0.1 }), inksWithBalloons);
    expect(Math.abs(((fit?.movement.turn ?? 0) * 180) / Math.PI - 0.1)).toBeLessThan(0.03);
  });
});

test('lettering that brings the borders of the panels along is found by them', async () => {
  const panels = (dx: number) =>
    [100, 900, 1700]
      .flatMap((y) =>
        [90, 860].map(
          (x) =>
            `<rect x="${x + dx}" y="${y}" width="700" height="740" fill="none" stroke="black" stroke-width="8"/>`,
        ),
      )
      .join('');
  const drawn = async (dx: number): Promise<Raster> => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="1650" height="2520"><rect width="1650" height="2520" fill="white"/>${panels(dx)}</svg>`;
    const data = await sharp(Buffer.from(svg)).removeAlpha().raw().toBuffer();
    return { ...letteringPx, model: 'rgb', alpha: false, data: new Uint8Array(data) };
  };
  const fit = fitOf(await drawn(12), await drawn(0));
  expect(fit?.by).toBe('shared');
  expect(Math.abs((fit?.movement.dx ?? 0) - 6)).toBeLessThan(0.3);
});

test('text that runs across balloons all over the page is found to lie off, to a millimetre', async () => {
  const fit = fitOf(await drawLettering(7, 'text', { dx: 60, dy: 20 }), inksWithBalloons);
  expect(fit?.by).toBe('housed');
  expect(Math.abs((fit?.movement.dx ?? 0) - 30)).toBeLessThan(12);
  expect(Math.abs((fit?.movement.dy ?? 0) - 10)).toBeLessThan(12);
});
