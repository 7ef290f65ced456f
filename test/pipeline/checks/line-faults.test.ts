import { describe, expect, test } from 'vitest';
import { type CheckLimits, limitsWith } from '../../../config/check-limits/index.js';
import { noticeBorders } from '../../../pipeline/checks/borders.js';
import { noticeSpecks } from '../../../pipeline/checks/specks.js';
import { noticeThinLine } from '../../../pipeline/checks/thin-line.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { measureLine } from '../../../pipeline/line-faults/measure-line.js';
import type { Bitmap } from '../../../pipeline/model/raster.js';
import { Inking } from '../../helpers/inking.js';
import { specWith } from '../../helpers/specs.js';

const arena = new PageArena();

/** A page of 70 x 90 mm with 3 mm of bleed, at 600 ppi. */
const trim = { widthMm: 70, heightMm: 90 };
const size = { width: 1795, height: 2268 };
const mm = 600 / 25.4;

function look(line: Bitmap, limits: Partial<CheckLimits> = {}, linePpi = 600) {
  const spec = specWith({ trim, bleedMm: 3, linePpi, checks: limitsWith(limits) });
  const on = { size: line, spec };
  const faults = measureLine(line, spec, false, arena);
  return [...noticeThinLine(faults, on), ...noticeSpecks(faults, on), ...noticeBorders(faults, on)];
}

const codes = (line: Bitmap, limits?: Partial<CheckLimits>) =>
  look(line, limits).map(({ code, severity }) => `${severity} ${code}`);

describe('line that is too thin for the press', () => {
  const ruled = (widthPx: number, count: number) => {
    const inking = new Inking(size);
    for (let i = 0; i < count; i++) inking.line([300, 300 + 40 * i], [1400, 310 + 41 * i], widthPx);
    return inking.bitmap();
  };

  test('a quarter point passes, half of that asks for a look', () => {
    expect(codes(ruled(0.0882 * mm, 6))).toEqual([]);
    const [finding] = look(ruled(0.0441 * mm, 6));
    expect(finding).toMatchObject({
      code: 'line-thin',
      severity: 'warn',
      limit: expect.stringMatching(/0\.088 mm/),
    });
    // Six lines of 46.6 mm, to a tenth.
    expect(Number.parseInt(finding.measured ?? '', 10)).toBeGreaterThan(252);
    expect(Number.parseInt(finding.measured ?? '', 10)).toBeLessThan(308);
    expect(finding.measured).toMatch(/down to some 0\.04 mm/);
    expect(finding.places?.inAll).toBeGreaterThanOrEqual(1);
  });

  test('some of it is for the record, little of it is nothing', () => {
    expect(codes(ruled(1, 1))).toEqual(['note line-thin']);
    const inking = new Inking(size);
    inking.line([300, 300], [700, 310], 1);
    expect(codes(inking.bitmap())).toEqual([]);
  });

  test('strokes that taper to nothing pass, and so does a hairline beside much sound line', () => {
    const inking = new Inking(size);
    for (let i = 0; i < 60; i++) inking.taper([200 + 20 * i, 300], [260 + 20 * i, 1900], 9, 0);
    for (let i = 0; i < 40; i++) inking.taper([300, 400 + 30 * i], [1500, 380 + 30 * i], 0, 7);
    expect(codes(inking.bitmap())).toEqual([]);
  });

  test('the limit is the job’s, and 0 leaves the check out', () => {
    expect(codes(ruled(2, 6), { thinLineMm: 0.15 })).toEqual(['warn line-thin']);
    expect(codes(ruled(1, 6), { thinLineMm: 0 })).toEqual([]);
  });

  test('places lie where the line is, in millimetres from the trim', () => {
    const inking = new Inking(size);
    inking.line([600, 800], [1200, 800], 1);
    const [{ places }] = look(inking.bitmap());
    expect(places?.inAll).toBe(1);
    expect(places?.shown[0].xMm).toBeCloseTo(600 / mm - 3, 0);
    expect(places?.shown[0].yMm).toBeCloseTo(800 / mm - 3, 0);
    expect(places?.shown[0].widthMm).toBeCloseTo(600 / mm, 0);
  });
});

describe('white line in black', () => {
  const scratched = (widthPx: number) => {
    const inking = new Inking(size);
    inking.box(200, 200, 1500, 1900);
    for (let i = 0; i < 8; i++) inking.line([300, 400 + 150 * i], [1400, 430 + 150 * i], widthPx, 0);
    return inking.bitmap();
  };

  test('half a point passes, half of that asks for a look', () => {
    expect(codes(scratched(0.1764 * mm))).toEqual([]);
    expect(codes(scratched(0.088 * mm))).toEqual(['warn line-thin-white']);
    expect(codes(scratched(0.088 * mm), { thinWhiteLineMm: 0 })).toEqual([]);
  });

  test('gaps between strokes of hatching are none', () => {
    const inking = new Inking(size);
    for (let i = 0; i < 100; i++) inking.line([200, 300 + 9 * i], [1500, 310 + 9 * i], 6);
    expect(codes(inking.bitmap())).toEqual([]);
  });

  test('scratches that taper to nothing pass', () => {
    const inking = new Inking(size);
    inking.box(200, 200, 1500, 1900);
    for (let i = 0; i < 40; i++) inking.taper([250 + 30 * i, 300], [260 + 30 * i, 1500], 0, 12, 0);
    expect(codes(inking.bitmap())).toEqual([]);
  });
});

describe('dust', () => {
  const dusty = (count: number, sidePx: number) => {
    const inking = new Inking(size);
    for (let i = 0; i < count; i++) {
      const [x, y] = [150 + 170 * (i % 9), 200 + 160 * Math.floor(i / 9)];
      inking.box(x, y, sidePx, sidePx);
    }
    return inking.bitmap();
  };

  test('specks no larger than dust are counted: more than the limit ask for a look, a tenth is for the record', () => {
    expect(codes(dusty(51, 4))).toEqual(['warn line-specks']);
    expect(codes(dusty(50, 4))).toEqual(['note line-specks']);
    expect(codes(dusty(5, 1))).toEqual(['note line-specks']);
    expect(codes(dusty(4, 4))).toEqual([]);
    expect(look(dusty(51, 4))[0]).toMatchObject({ measured: '51 places', places: { inAll: 51 } });
  });

  test('what is a pixel larger was drawn, and so were dots of stipple', () => {
    expect(codes(dusty(51, 5))).toEqual([]);
    const inking = new Inking(size);
    for (let i = 0; i < 600; i++)
      inking.box(200 + 38 * (i % 30) + ((i * 7) % 11), 300 + 40 * Math.floor(i / 30), 3, 3);
    expect(codes(inking.bitmap())).toEqual([]);
  });

  test('a dot that stands a little apart in dense stipple is none', () => {
    const inking = new Inking(size);
    for (let i = 0; i < 3000; i++) inking.box(200 + 9 * (i % 60), 300 + 9 * Math.floor(i / 60), 4, 4);
    for (let i = 0; i < 6; i++) {
      inking.box(240 + 80 * i, 400, 40, 40, 0);
      inking.box(258 + 80 * i, 418, 3, 3);
    }
    expect(measureLine(inking.bitmap(), specWith({ trim, bleedMm: 3 }), false, arena).specks).toEqual([]);
  });

  test('ends of hatching and dots beside other ink are none', () => {
    const inking = new Inking(size);
    for (let i = 0; i < 60; i++) {
      inking.box(200 + 20 * i, 400, 4, 300);
      inking.box(200 + 20 * i, 705, 3, 3);
    }
    expect(codes(inking.bitmap())).toEqual([]);
  });

  test('holes in black are told for themselves', () => {
    const inking = new Inking(size);
    inking.box(100, 100, 1500, 1900);
    for (let i = 0; i < 60; i++) inking.box(200 + 170 * (i % 8), 200 + 160 * Math.floor(i / 8), 3, 3, 0);
    expect(codes(inking.bitmap())).toEqual(['warn line-pinholes']);
    expect(codes(inking.bitmap(), { speckMm: 0 })).toEqual([]);
  });
});

describe('borders of panels', () => {
  const panels = [
    [300, 300, 900, 1000],
    [960, 300, 1500, 1000],
    [300, 1060, 1500, 1900],
  ] as const;

  const page = (degrees: readonly number[]) => {
    const inking = new Inking(size);
    for (const [at, one] of panels.entries()) inking.frame(one, 9, degrees[at % degrees.length], [900, 1130]);
    return inking.bitmap();
  };

  const turnOf = (line: Bitmap) =>
    measureLine(line, specWith({ trim, bleedMm: 3 }), false, arena).skew?.degrees;

  test.each([0, 0.05, 0.1, -0.3, 0.5, -1.2, 2.5])('tell a turn of %d degrees to 0.05', (degrees) => {
    const turn = turnOf(page([degrees]));
    expect(Math.abs((turn ?? 9) - degrees)).toBeLessThan(0.05);
  });

  test('a turn of half a degree asks for a look, a tenth is for the record, less is nothing', () => {
    expect(codes(page([0.55]))).toEqual(['warn page-skewed']);
    expect(codes(page([-0.4]))).toEqual(['note page-skewed']);
    expect(codes(page([0.05]))).toEqual([]);
    expect(codes(page([0.55]), { skewDegrees: 0 })).toEqual([]);
  });

  test('panels that are drawn askew, each its own way, tell nothing', () => {
    expect(turnOf(page([1.5, -0.8, 0.4]))).toBeUndefined();
    expect(codes(page([8, -5, 6]))).toEqual([]);
  });

  test('one that lies in the bleed or that the trim crosses is told, with its side', () => {
    const inking = new Inking(size);
    inking.frame([40, 300, 1500, 1900], 9);
    const [finding] = look(inking.bitmap());
    expect(finding).toMatchObject({ code: 'border-cut', severity: 'warn' });
    expect(finding.message).toMatch(/\(left\)/);
    // Its outer edge lies 66 of the 71 px of bleed outside: 35.5 px of the frame's middle and half of its width.
    expect(Number(finding.measured?.match(/[\d.]+/)?.[0])).toBeCloseTo((71 - 35.5) / mm, 1);
    const crossing = new Inking(size);
    crossing.frame([75, 300, 1500, 1900], 9, 0.6, [75, 1100]);
    expect(codes(crossing.bitmap(), { skewDegrees: 0 })).toEqual(['warn border-cut']);
  });

  test('one a millimetre inside, panels that run off the page, and line of art are not', () => {
    const inside = new Inking(size);
    inside.frame([95, 95, 1700, 2170], 9);
    expect(codes(inside.bitmap())).toEqual([]);
    const bleeding = new Inking(size);
    bleeding.frame([-50, 300, 1900, 1900], 9);
    expect(codes(bleeding.bitmap())).toEqual([]);
    const art = new Inking(size);
    art.line([30, 200], [36, 2100], 6);
    expect(codes(art.bitmap())).toEqual([]);
  });
});
