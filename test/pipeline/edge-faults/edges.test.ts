import { describe, expect, test } from 'vitest';
import { noticeEdges } from '../../../pipeline/checks/edges.js';
import { measureCopiedBleed } from '../../../pipeline/edge-faults/bleed-copies.js';
import { measureFrames } from '../../../pipeline/edge-faults/frames.js';
import { measureGutter } from '../../../pipeline/edge-faults/gutter.js';
import { type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { seeded } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

/** 50.8 x 76.2 mm of trim and 2.54 mm of bleed at 100 ppi: 220 x 320 px, the trim from 10 to 210 and from 10 to 310. */
const ppi = 100;
const [width, height] = [220, 320];
const spec = specWith({
  trim: { widthMm: 50.8, heightMm: 76.2 },
  bleedMm: 2.54,
  safeMm: 5.08,
  colourPpi: ppi,
});
const trim = { left: 10, top: 10, width: 200, height: 300 };

function page(inkAt: (x: number, y: number) => number): Separation {
  return separationOf({ width, height }, (name) => {
    const plane = new Uint8Array(width * height);
    if (name === 'yellow') return plane;
    for (let i = 0; i < plane.length; i++) plane[i] = inkAt(i % width, Math.floor(i / width));
    return plane;
  });
}

/** Painted art: soft tones with some grain, nowhere the same. */
const random = seeded(12);
const grain = Float64Array.from({ length: width * height }, () => random() * 20);
const art = (x: number, y: number) =>
  90 + 50 * Math.sin(x / 7) * Math.cos(y / 5 + x / 23) + 30 * Math.sin((x * y) / 400) + grain[y * width + x];

const kinds = (inks: Separation) =>
  measureCopiedBleed(inks, trim, ppi).map(({ kind, side, lengthPx }) => `${kind} ${side} ${lengthPx > 100}`);
const codes = (inks: Separation, isSpread = false) =>
  noticeEdges(inks, spec, isSpread, 'mm').map(({ code, severity }) => `${code} ${severity}`);

describe('bleed that nobody painted', () => {
  test('mirrored at the trim is told, with its side and its length', () => {
    const mirrored = page((x, y) => art(x, y < 10 ? 19 - y : y));
    expect(kinds(mirrored)).toEqual(['mirrored top true']);
    const [{ measured, places }] = noticeEdges(mirrored, spec, false, 'mm');
    expect(measured).toMatch(/^top (4\d|50)(\.\d)? mm$/);
    expect(places?.shown[0]).toMatchObject({ yMm: -2.54, heightMm: 2.54 });
    expect(codes(mirrored)).toEqual(['bleed-mirrored note']);
  });

  test('mirrored a pixel beside the trim is told as well', () => {
    expect(kinds(page((x, y) => art(x < 210 ? x : 418 - x, y)))).toEqual(['mirrored right true']);
  });

  test('smeared is told at each side', () => {
    const inside = (at: number, last: number) => Math.min(last, Math.max(10, at));
    const smeared = page((x, y) => art(inside(x, 209), inside(y, 309)));
    expect(kinds(smeared)).toEqual(['top', 'right', 'bottom', 'left'].map((side) => `smeared ${side} true`));
    expect(codes(smeared)).toEqual(['bleed-smeared note']);
  });

  test('a short piece is left alone', () => {
    const short = page((x, y) => art(x, y < 10 && x > 50 && x < 110 ? 10 : y));
    expect(measureCopiedBleed(short, trim, ppi)).toHaveLength(1);
    expect(codes(short)).toEqual([]);
  });

  test('painted bleed, flat colour, paper and speed lines that run off the page are right', () => {
    expect(kinds(page(art))).toEqual([]);
    expect(kinds(page(() => 120))).toEqual([]);
    expect(kinds(page(() => 0))).toEqual([]);
    expect(kinds(page((x) => (x % 9 < 3 ? 255 : 0)))).toEqual([]);
  });
});

describe('frames of panels', () => {
  /** A frame of black line around white panels, its outer edge so many pixels inside the trim. */
  const framed = (inset: number) =>
    page((x, y) => {
      const inside = Math.min(x - 10, 209 - x, y - 10, 309 - y);
      return inside >= inset && inside < inset + 4 ? 255 : 0;
    });

  test('between trim and safe margin are told with their distance', () => {
    const frames = measureFrames(framed(9), trim, 18, 40, ppi);
    expect(frames.map(({ side, depthPx }) => [side, Math.abs(depthPx - 9) <= 2])).toEqual(
      ['top', 'right', 'bottom', 'left'].map((side) => [side, true]),
    );
    expect(codes(framed(9))).toEqual(['frame-near-trim note']);
  });

  test('on the safe margin, 20 pixels here, are right; a little outside of it they are not', () => {
    expect(codes(framed(20))).toEqual([]);
    expect(codes(framed(16))).toEqual(['frame-near-trim note']);
  });

  test('art that runs through the bleed is right, and so is drawing without a straight edge', () => {
    expect(codes(page(art))).toEqual([]);
    expect(
      codes(page((x, y) => (x > 24 + 14 * Math.sin(y / 20) && x < 180 && y > 40 && y < 280 ? 200 : 0))),
    ).toEqual([]);
  });
});

describe('the gutter of a spread', () => {
  /** Open drawing all over, and a crowded square of so many pixels around the fold. */
  const spread = (crowded: number) =>
    page((x, y) => {
      const isCrowded = Math.abs(x - 110) < crowded && Math.abs(y - 160) < 20;
      return isCrowded ? (((x >> 1) + (y >> 1)) % 2 === 0 ? 200 : 40) : x % 40 < 2 ? 180 : 60;
    });

  test('in which much is drawn is told with where', () => {
    const { boxes, mostTimes, crossedPercent } = measureGutter(spread(14), ppi, 3, 4);
    expect(mostTimes).toBeGreaterThan(4);
    expect(crossedPercent).toBe(100);
    const [{ left, top, width: wide }] = boxes;
    expect([left, wide]).toEqual([98, 24]);
    expect(Math.abs(top - 150)).toBeLessThan(40);
    expect(codes(spread(14), true)).toEqual(['art-in-gutter note']);
  });

  test('is no matter of a single page, nor of art that only runs across it', () => {
    expect(codes(spread(14), false)).toEqual([]);
    expect(codes(spread(0), true)).toEqual([]);
    expect(codes(page(art), true)).toEqual([]);
  });
});
