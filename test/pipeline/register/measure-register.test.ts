import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { bitmapOf } from '../../../pipeline/line/bitmap.js';
import { measureRegister } from '../../../pipeline/register/measure-register.js';
import {
  drawPage,
  type FittingStyle,
  fittingStyles,
  type Laid,
  tellingNothing,
} from '../../helpers/drawn-pages.js';
import { drawn, seeded } from '../../helpers/rasters.js';

/** Pages of 70 x 107 mm at 300 ppi, their line at 600. A pixel of the line is half of one here; 1.2 are the 0.1 mm allowed. */
const limitPx = (0.1 * 300) / 25.4;

/** Colour is drawn up to two pixels beyond its contour under some of these lines, to any side; so much of it is left in the mean. */
const trappedPx = 0.6;

function measured(style: FittingStyle, laid: Laid, seed = 3) {
  const { colour, line } = drawPage(style, { seed, laid });
  return measureRegister(colour, line, 300);
}

/** Two of the styles by turns, so that each movement is tried and the test stays short; `npm run fit-campaign` tries all. */
const tried = (turn: number) => [0, 4].map((apart) => fittingStyles[(turn + apart) % fittingStyles.length]);

describe('line beside its colour', () => {
  const shifts = [0.25, 0.5, 1, 2.5, 10].flatMap((px, turn) => tried(turn).map((style) => ({ style, px })));
  test.each(shifts)('is found $px px of the colour off, $style', ({ style, px }) => {
    const { verdict, movement, displacementPx } = measured(style, { dx: -0.6 * px, dy: 0.8 * px });
    expect(verdict).toBe('fits');
    expect(Math.abs((movement?.dx ?? 0) + 0.6 * px)).toBeLessThan(trappedPx);
    expect(Math.abs((movement?.dy ?? 0) - 0.8 * px)).toBeLessThan(trappedPx);
    expect(displacementPx > limitPx).toBe(px > 1);
  });

  const turns = [0.3, 0.6].flatMap((degrees, turn) => tried(turn + 1).map((style) => ({ style, degrees })));
  test.each(turns)('is found turned by $degrees degrees, $style', ({ style, degrees }) => {
    const { movement, displacementPx } = measured(style, { degrees });
    expect(Math.abs(((movement?.turn ?? 0) * 180) / Math.PI - degrees)).toBeLessThan(0.08);
    expect(displacementPx).toBeGreaterThan(limitPx);
  });

  test.each(['brush', 'pen', 'manga', 'panels'] as const)('is found 0.3 %% smaller, %s', (style) => {
    const { movement, displacementPx } = measured(style, { scalePercent: -0.3 });
    expect(Math.abs((movement?.zoom ?? 0) * 100 + 0.3)).toBeLessThan(0.1);
    expect(displacementPx).toBeGreaterThan(limitPx);
  });

  test('is found where it lies 9 mm off', () => {
    const { movement } = measured('cel', { dx: -60, dy: 80 });
    expect(Math.abs((movement?.dx ?? 0) + 60)).toBeLessThan(1);
    expect(Math.abs((movement?.dy ?? 0) - 80)).toBeLessThan(1);
  });
});

describe('a page as large as a comic', () => {
  const whole = { width: 2063, height: 3150 };
  test.each([
    ['pen', { degrees: 0.1 }],
    ['brush', { scalePercent: 0.1 }],
  ] as const)('shows a tenth of a degree and of a percent, %s', (style, laid: Laid) => {
    const { colour, line } = drawPage(style, { ...whole, seed: 3, laid });
    const { movement, displacementPx } = measureRegister(colour, line, 300);
    expect(Math.abs(((movement?.turn ?? 0) * 180) / Math.PI - (laid.degrees ?? 0))).toBeLessThan(0.03);
    expect(Math.abs((movement?.zoom ?? 0) * 100 - (laid.scalePercent ?? 0))).toBeLessThan(0.03);
    expect(displacementPx).toBeGreaterThan(limitPx);
  });
});

test('colour at 600 ppi is looked at like colour at 300', () => {
  const { colour, line } = drawPage('brush', { seed: 3, width: 1000, height: 1400, laid: { dx: 6, dy: -4 } });
  const { verdict, movement, ppi } = measureRegister(colour, line, 600);
  expect([verdict, ppi]).toEqual(['fits', 300]);
  expect(Math.abs((movement?.dx ?? 0) - 3)).toBeLessThan(0.3);
  expect(Math.abs((movement?.dy ?? 0) + 2)).toBeLessThan(0.3);
});

describe('line in its place', () => {
  test.each(fittingStyles)('raises no alarm, %s', (style) => {
    const { verdict, displacementPx } = measured(style, {}, 5);
    expect(verdict).toBe('fits');
    expect(displacementPx).toBeLessThan(limitPx);
  });

  test.each(tellingNothing)(
    'cannot be told from another page on colour that does not follow it: %s',
    (style) => {
      const { colour, line } = drawPage(style, { seed: 4 });
      expect(measureRegister(colour, line, 300).verdict).toBe('unknown');
    },
  );
});

test('colour of hard shapes that keep to no panels may go its own way beside the line', () => {
  const { colour } = drawPage('cel', { seed: 3, grid: 9, inksOf: 4 });
  const shapes = drawPage('shapes', { seed: 3 });
  const inks = drawPage('brush', { seed: 5 }).line;
  expect(measureRegister(shapes.colour, inks, 300)).toMatchObject({ verdict: 'apart', keepsToPanels: false });
  expect(measureRegister(colour, inks, 300)).toMatchObject({ verdict: 'apart', keepsToPanels: true });
});

describe("another page's line", () => {
  const inked = ['brush', 'pen', 'manga', 'cel', 'painted', 'painted-in'] as const;
  test.each(inked)('is found, %s', (style) => {
    const { colour, line } = drawPage(style, { seed: 3, inksOf: 4 });
    expect(measureRegister(colour, line, 300).verdict).toBe('apart');
  });

  test.each(inked)('is found where both pages have the same panels, %s', (style) => {
    const { colour, line } = drawPage(style, { seed: 5, grid: 9, inksOf: 6 });
    expect(measureRegister(colour, line, 300).verdict).toBe('apart');
  });
});

test('panels with heavy rules, their colour up to the middle of these, are where they belong', () => {
  // Each rule has two edges, and a window sees the line to one side of the colour's edge or to the other.
  const size = { width: 825, height: 1125 };
  const panels = [
    { box: [75, 75, 750, 525], colour: [125, 183, 232] },
    { box: [75, 560, 395, 1050], colour: [240, 198, 116] },
    { box: [430, 560, 750, 1050], colour: [199, 138, 223] },
  ];
  const within = ([left, top, right, bottom]: readonly number[], x: number, y: number, by: number) =>
    x >= left - by && x < right + by && y >= top - by && y < bottom + by;
  const colour = drawn(size.width, size.height, 'rgb', (x, y) => {
    return panels.find(({ box }) => within(box, x, y, 0))?.colour ?? [255, 255, 255];
  });
  const isRule = (x: number, y: number) =>
    panels.some(({ box }) => within(box, x, y, 4) && !within(box, x, y, -4)) ||
    Math.abs(Math.hypot(x - 560, y - 350) - 110) < 4;
  const ink = drawn(2 * size.width, 2 * size.height, 'grey', (x, y) => [isRule(x / 2, y / 2) ? 255 : 0]);
  const line = bitmapOf(ink.data as Uint8Array, ink, 128, new PageArena());
  const { verdict, displacementPx } = measureRegister(colour, line, 300);
  expect([verdict, displacementPx]).toEqual(['fits', 0]);
});

test('a page of squares has nothing but its borders to tell whose it is, and is not taken for another', () => {
  const [side, columns, rows] = [50, 18, 27];
  const random = seeded(1);
  const shades = [
    [34, 51, 90],
    [59, 110, 165],
    [95, 163, 107],
    [232, 176, 74],
  ];
  const squares = Array.from({ length: columns * rows }, (_, at) => {
    const wave = Math.sin((at % columns) * 0.7) + Math.cos(Math.floor(at / columns) * 0.5) + random() * 0.6;
    return { shade: shades[Math.max(0, Math.min(3, Math.floor(wave) + 2))], isRuled: random() < 0.35 };
  });
  const squareAt = (column: number, row: number) =>
    column < 0 || row < 0 || column >= columns || row >= rows ? undefined : squares[row * columns + column];
  const colour = drawn(columns * side, rows * side, 'rgb', (x, y) => {
    return squareAt(Math.floor(x / side), Math.floor(y / side))?.shade ?? [];
  });
  // Some squares have a rule around them, its middle on their border.
  const isRule = (x: number, y: number) => {
    const [column, row] = [Math.floor(x / side), Math.floor(y / side)];
    const ends = [-1, 0, 1].flatMap((across) => [-1, 0, 1].map((down) => [column + across, row + down]));
    return ends.some(([across, down]) => {
      const far = Math.max(Math.abs(x - (across + 0.5) * side), Math.abs(y - (down + 0.5) * side));
      return squareAt(across, down)?.isRuled && Math.abs(far - side / 2) < 2.3;
    });
  };
  const ink = drawn(2 * colour.width, 2 * colour.height, 'grey', (x, y) => [isRule(x / 2, y / 2) ? 255 : 0]);
  const line = bitmapOf(ink.data as Uint8Array, ink, 128, new PageArena());
  expect(measureRegister(colour, line, 300).verdict).not.toBe('apart');
});
