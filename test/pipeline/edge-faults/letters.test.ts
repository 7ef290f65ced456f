import { describe, expect, test } from 'vitest';
import { openPress } from '../../../config/press.js';
import type { PrintSpec } from '../../../config/print-spec.js';
import { noticeLetters } from '../../../pipeline/checks/lettering.js';
import { contrastRatio, relativeLuminance } from '../../../pipeline/edge-faults/luminance.js';
import { openSeparator } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { drawn, plateOf } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

type Rgb = readonly [number, number, number];
const ofHex = (hex: string): number => {
  const [r, g, b] = [0, 2, 4].map((at) => Number.parseInt(hex.slice(at, at + 2), 16));
  return relativeLuminance(r, g, b);
};

describe('contrast as WCAG 2.2 defines it', () => {
  // The extremes follow from its formula; the pairs were computed from it once, to two decimals.
  test.each([
    ['000000', 'ffffff', 21],
    ['ffffff', 'ffffff', 1],
    ['767676', 'ffffff', 4.54],
    ['777777', 'ffffff', 4.48],
    ['949494', 'ffffff', 3.03],
    ['595959', 'ffffff', 7.0],
    ['1a1a1a', 'ffffff', 17.4],
    ['0b57d0', 'ffffff', 6.39],
    ['8ab4f8', '121212', 8.89],
    ['b3261e', 'ffffff', 6.54],
    ['8a5a00', 'ffffff', 5.93],
  ])('#%s on #%s is %f:1', (one, other, ratio) => {
    expect(contrastRatio(ofHex(one), ofHex(other))).toBeCloseTo(ratio, 1);
    expect(contrastRatio(ofHex(other), ofHex(one))).toBe(contrastRatio(ofHex(one), ofHex(other)));
  });
});

/** 40.64 x 20.32 mm of trim and 2.54 mm of bleed at 200 ppi: 360 x 200 px, the trim 20 px inside. */
const ppi = 200;
const [width, height] = [360, 200];
const spec = specWith({
  trim: { widthMm: 40.64, heightMm: 20.32 },
  bleedMm: 2.54,
  safeMm: 5.08,
  colourPpi: ppi,
});
const press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
const separator = openSeparator(press, {
  intent: 'relative',
  blackPointCompensation: true,
  inkLimitPercent: undefined,
});
const arena = new PageArena();

/** A letter of 9 x 13 px with strokes of 3 px, such as an E. */
const isStroke = (x: number, y: number) => x >= 0 && x < 9 && y >= 0 && y < 13 && (x < 3 || y % 5 < 3);

/** Six such letters in a row, from a place on. */
const isText = (left: number, top: number) => (x: number, y: number) =>
  x >= left && x < left + 6 * 16 && isStroke((x - left) % 16, y - top);

interface Lettered {
  readonly at?: readonly [left: number, top: number];
  readonly text?: Rgb;
  readonly ground?: Rgb;
  readonly isSpread?: boolean;
  readonly checks?: Partial<PrintSpec['checks']>;
}

function told({
  at = [120, 90],
  text = [0, 0, 0],
  ground = [255, 255, 255],
  isSpread = false,
  checks,
}: Lettered) {
  arena.reset();
  const covers = isText(...at);
  const picture: Raster = drawn(width, height, 'rgb', (x, y) => [...(covers(x, y) ? text : ground)]);
  const composite = separator.separate(picture, undefined, arena).separation;
  const lettering = plateOf(width / 2, height / 2, (x, y) =>
    covers(2 * x, 2 * y) || covers(2 * x + 1, 2 * y + 1) ? 255 : 0,
  );
  const limits = { ...spec, checks: { ...spec.checks, ...checks } };
  return noticeLetters({ composite, lettering, isSpread }, limits, 'mm', separator, arena);
}
const codes = (lettered: Lettered) => told(lettered).map(({ code, severity }) => `${code} ${severity}`);

describe('lettering against its ground', () => {
  test('black on white and white on black can be read', () => {
    expect(codes({})).toEqual([]);
    expect(codes({ text: [255, 255, 255], ground: [0, 0, 0] })).toEqual([]);
  });

  test('just below 3:1 is told with where, just above it is not', () => {
    // Greys on white: 150 has 2.96:1 and 140 has 3.36:1 on a screen, and much the same in print.
    const [finding] = told({ text: [160, 160, 160] });
    expect(finding).toMatchObject({ code: 'lettering-contrast', severity: 'note', limit: 'at least 3:1' });
    expect(finding.measured).toMatch(/^contrast down to 2\.\d:1$/);
    const [{ xMm, yMm, widthMm }] = finding.places?.shown ?? [];
    expect(xMm).toBeCloseTo(((120 - 20) / ppi) * 25.4, 0);
    expect(yMm).toBeCloseTo(((90 - 20) / ppi) * 25.4, 0);
    expect(widthMm).toBeGreaterThan(10);
    expect(codes({ text: [130, 130, 130] })).toEqual([]);
  });

  test('dark on dark is told, and a hue of the same lightness as well', () => {
    expect(codes({ text: [20, 20, 60], ground: [0, 0, 0] })).toEqual([]);
    expect(codes({ text: [70, 60, 110], ground: [40, 30, 70] })).toEqual(['lettering-contrast note']);
    expect(codes({ text: [200, 60, 60], ground: [60, 130, 60] })).toEqual(['lettering-contrast note']);
  });

  test('an outline between light letters and a dark ground stands out by the letters', () => {
    arena.reset();
    const outline = (x: number, y: number) => x >= 120 && x < 216 && (x - 120) % 16 < 3 && y >= 90 && y < 103;
    const picture = drawn(width, height, 'rgb', (x, y) => {
      if (outline(x, y)) return [0, 0, 0];
      return (x + 8) % 16 < 9 ? [40, 50, 110] : [250, 240, 180];
    });
    const composite = separator.separate(picture, undefined, arena).separation;
    const lettering = plateOf(width / 2, height / 2, (x, y) => (outline(2 * x, 2 * y) ? 255 : 0));
    expect(noticeLetters({ composite, lettering, isSpread: false }, spec, 'mm', separator, arena)).toEqual(
      [],
    );
  });

  test('0 leaves it out', () => {
    expect(codes({ text: [160, 160, 160], checks: { letteringContrastTimes: 0 } })).toEqual([]);
  });
});

describe('lettering at the edges', () => {
  test('on the safe margin is right, a pixel row beyond it is told', () => {
    // The safe margin lies 60 px from the end of the bleed.
    expect(codes({ at: [120, 60] })).toEqual([]);
    expect(codes({ at: [120, 55] })).toEqual(['lettering-near-trim warn']);
    const [{ measured, places }] = told({ at: [120, 55] });
    expect(measured).toBe('some 6 letters in 1 place');
    expect(places?.shown[0].yMm).toBeCloseTo((35 / ppi) * 25.4, 1);
  });

  test('through which the trim goes is told as cut', () => {
    expect(codes({ at: [120, 14] })).toEqual(['lettering-cut warn']);
  });

  test('that lies outside the trim altogether goes away with it', () => {
    expect(codes({ at: [120, 4] })).toEqual([]);
  });

  test('at the fold is told on a spread only, as far as the binding takes of it', () => {
    // The fold is at 180 px, and 3 mm are 24 px.
    expect(codes({ at: [150, 90], isSpread: true })).toEqual(['lettering-in-gutter warn']);
    expect(codes({ at: [150, 90] })).toEqual([]);
    expect(codes({ at: [210, 90], isSpread: true })).toEqual([]);
    expect(codes({ at: [150, 90], isSpread: true, checks: { gutterLossMm: 0 } })).toEqual([]);
  });

  test('two letters are no word', () => {
    expect(codes({ at: [120, 55], checks: { edgeLetters: 7 } })).toEqual([]);
    expect(codes({ at: [120, 55], checks: { edgeLetters: 0 } })).toEqual([]);
  });
});
