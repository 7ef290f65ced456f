import { describe, expect, test } from 'vitest';
import { bleedBox, bleedBoxPx, type PrintSpec, trimBoxPx } from '../../../config/print-spec.js';
import { mmToPx, pxToMm } from '../../../config/units.js';
import { movedTo, planBeside, planFit } from '../../../pipeline/sizes/plan-fit.js';
import { specWith } from '../../helpers/specs.js';

const inch = 25.4;
const forms: readonly [string, Pick<PrintSpec, 'trim' | 'bleedMm'>][] = [
  ['A4', { trim: { widthMm: 210, heightMm: 297 }, bleedMm: 3 }],
  ['B5', { trim: { widthMm: 176, heightMm: 250 }, bleedMm: 3 }],
  ['170 x 260 mm', { trim: { widthMm: 170, heightMm: 260 }, bleedMm: 3 }],
  ['6.625 x 10.25 in', { trim: { widthMm: 6.625 * inch, heightMm: 10.25 * inch }, bleedMm: 0.125 * inch }],
  ['a spread of A4', { trim: { widthMm: 420, heightMm: 297 }, bleedMm: 3 }],
  [
    '2062.5 x 1000.5 px of colour',
    { trim: { widthMm: 2062.5 * (inch / 300), heightMm: 1000.5 * (inch / 300) }, bleedMm: 0 },
  ],
];
/** Colour, line, and the colour pixels that have a whole number of line pixels. */
const resolutions = [
  [300, 600, 1],
  [300, 1200, 1],
  [300, 300, 1],
  [350, 800, 7],
  [400, 600, 2],
  [300, 800, 3],
] as const;

const cases = forms.flatMap(([name, form]) =>
  resolutions.map(([colourPpi, linePpi, step]) => {
    return [
      `${name} at ${colourPpi} and ${linePpi} ppi`,
      specWith({ ...form, colourPpi, linePpi }),
      step,
    ] as const;
  }),
);

const picture = (width: number, height: number, ppi?: number) => ({
  width,
  height,
  ppi: ppi === undefined ? undefined : { x: ppi, y: ppi },
});

describe.each(cases)('%s', (_, spec, step) => {
  const colour = bleedBoxPx(spec, spec.colourPpi);
  const line = bleedBoxPx(spec, spec.linePpi);
  const box = bleedBox(spec);

  test('has line and colour that cover the same millimetres, the nearest to trim plus bleed', () => {
    expect(line.width * spec.colourPpi).toBe(colour.width * spec.linePpi);
    expect(line.height * spec.colourPpi).toBe(colour.height * spec.linePpi);
    const most = step / 2 + 1e-6;
    expect(Math.abs(colour.width - mmToPx(box.widthMm, spec.colourPpi))).toBeLessThanOrEqual(most);
    expect(Math.abs(colour.height - mmToPx(box.heightMm, spec.colourPpi))).toBeLessThanOrEqual(most);
  });

  test('has its trim in the middle', () => {
    for (const [ppi, size] of [
      [spec.colourPpi, colour],
      [spec.linePpi, line],
    ] as const) {
      const trim = trimBoxPx(size, spec, ppi);
      expect(Math.abs(size.width - trim.width - 2 * trim.left)).toBeLessThanOrEqual(1);
      expect(Math.abs(size.height - trim.height - 2 * trim.top)).toBeLessThanOrEqual(1);
    }
  });

  test('takes pictures as exact however their export has rounded, and whatever ppi they state', () => {
    for (const ppi of [spec.colourPpi, spec.linePpi]) {
      const size = bleedBoxPx(spec, ppi);
      const [across, down] = [mmToPx(box.widthMm, ppi), mmToPx(box.heightMm, ppi)];
      const exports = [Math.floor, Math.round, Math.ceil].map((round) => [round(across), round(down)]);
      const offByOne = [-1, 1].map((off) => [size.width + off, size.height - off]);
      for (const [width, height] of [...exports, ...offByOne, [size.width, size.height]]) {
        for (const stated of [undefined, ppi, 72]) {
          const { plan, noticed } = planFit(picture(width, height, stated), spec, 'mm');
          expect(plan).toMatchObject({ crop: size, effectivePpi: ppi });
          expect(noticed).toEqual([]);
        }
      }
    }
  });
});

test('where line and colour have no small ratio, both have the nearest whole pixels of the same area', () => {
  const spec = specWith({ ...forms[0][1], colourPpi: 300, linePpi: 610 });
  expect(bleedBoxPx(spec, 300)).toEqual({ width: 2551, height: 3579 });
  // 2551 x 610 / 300 = 5187.03, 3579 x 610 / 300 = 7277.3: arithmetic.
  expect(bleedBoxPx(spec, 610)).toEqual({ width: 5187, height: 7277 });
});

describe('a picture a little larger than the page', () => {
  // Trim plus bleed of 2550 x 3150 px at 600 ppi.
  const spec = specWith({ trim: { widthMm: 4 * inch, heightMm: 5 * inch }, bleedMm: 0.125 * inch });

  test('is cropped by its centre where it states the resolution of the line, and a note tells how much', () => {
    const { plan, noticed } = planFit(picture(2562, 3162, 600), spec, 'mm');
    expect(plan).toEqual({ crop: { left: 6, top: 6, width: 2550, height: 3150 }, effectivePpi: 600 });
    expect(noticed).toMatchObject([
      { code: 'margin-cropped', severity: 'note', measured: '0.5 x 0.5 mm more (2562 x 3162 px at 600 ppi)' },
    ]);
  });

  test('is cropped also where width and height differ, and where its resolution is stated not quite as it is', () => {
    // JFIF files state whole pixels a centimetre: 236 are 599.44 ppi.
    const { plan } = planFit(picture(2550 + 20, 3150 + 80, 236 * 2.54), spec, 'mm');
    expect(plan).toEqual({ crop: { left: 10, top: 40, width: 2550, height: 3150 }, effectivePpi: 600 });
  });

  test('is cropped at any other resolution that it states', () => {
    const { plan } = planFit(picture(1700 + 8, 2100 + 30, 400), spec, 'mm');
    expect(plan).toEqual({ crop: { left: 4, top: 15, width: 1700, height: 2100 }, effectivePpi: 400 });
  });

  test('is cropped without a word where nobody sees it', () => {
    // Two pixels at 600 ppi are 0.08 mm.
    const { plan, noticed } = planFit(picture(2552, 3152, 600), spec, 'mm');
    expect(plan?.crop).toEqual({ left: 1, top: 1, width: 2550, height: 3150 });
    expect(noticed).toEqual([]);
  });

  test('is cropped without a stated resolution as long as it misses a printed size by less than half a millimetre', () => {
    expect(planFit(picture(2552, 3152), spec, 'mm').plan).toMatchObject({
      crop: { left: 1, top: 1, width: 2550, height: 3150 },
      effectivePpi: 600,
    });
    expect(planFit(picture(1277, 1577, 72), spec, 'mm').plan).toMatchObject({
      crop: { left: 1, top: 1, width: 1275, height: 1575 },
      effectivePpi: 300,
    });
  });

  test('is no such picture beyond 4 mm: its shape decides', () => {
    const most = Math.floor(mmToPx(4, 600));
    expect(planFit(picture(2550 + most, 3150, 600), spec, 'mm').plan?.effectivePpi).toBe(600);
    expect(planFit(picture(2550 + most + 1, 3150, 600), spec, 'mm').noticed).toMatchObject([
      { code: 'shape-wrong', severity: 'stop' },
    ]);
  });

  test('is taken by its shape where the resolution that it states comes nowhere near the page', () => {
    const { plan } = planFit(picture(3400, 4200, 96), spec, 'mm');
    expect(plan?.effectivePpi).toBeCloseTo(800, 6);
    expect(plan?.crop).toEqual({ left: 0, top: 0, width: 3400, height: 4200 });
  });

  test('has an even margin left out before a square shape is taken for the page without it', () => {
    const square = specWith({ trim: { widthMm: 210, heightMm: 210 }, bleedMm: 3 });
    const { width } = bleedBoxPx(square, 600);
    const marginPx = Math.round(mmToPx(10, 600));
    expect(planFit(picture(width + marginPx, width + marginPx, 600), square, 'mm')).toMatchObject({
      plan: { crop: { left: marginPx / 2, width }, effectivePpi: 600 },
      noticed: [{ code: 'margin-cropped' }],
    });
  });
});

describe('where trim plus bleed lies', () => {
  const spec = specWith({ trim: { widthMm: 4 * inch, heightMm: 5 * inch }, bleedMm: 0.125 * inch });
  const planOf = (width: number, height: number, ppi: number) => {
    const one = picture(width, height, ppi);
    const { plan } = planFit(one, spec, 'mm');
    if (plan === undefined) throw new Error('the picture fits');
    return { picture: one, plan };
  };

  test('can be given instead of the middle, as registration finds it', () => {
    const { plan } = planOf(2562, 3162, 600);
    expect(movedTo(plan, { left: 2, top: -1 })).toEqual({
      crop: { left: 2, top: -1, width: 2550, height: 3150 },
      effectivePpi: 600,
    });
  });

  test('is one place in two pictures of one canvas, though half a pixel of the colour is a whole one of the line', () => {
    const colour = planOf(1278, 1580, 300);
    const line = planOf(2556, 3160, 600);
    expect([colour.plan.crop.left, colour.plan.crop.top]).toEqual([1, 2]);
    expect([line.plan.crop.left, line.plan.crop.top]).toEqual([3, 5]);
    const beside = planBeside(line.picture, line.plan, colour);
    expect([beside.crop.left, beside.crop.top]).toEqual([2, 4]);
    expect(pxToMm(beside.crop.left, 600)).toBe(pxToMm(colour.plan.crop.left, 300));
  });

  test('is each one its own middle in pictures of different canvases', () => {
    const line = planOf(2562, 3162, 600);
    expect(planBeside(line.picture, line.plan, planOf(1275, 1575, 300))).toBe(line.plan);
  });
});
