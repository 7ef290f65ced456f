import { describe, expect, test } from 'vitest';
import { planFit } from '../../pipeline/sizes/plan-fit.js';
import { fitPlate, fitRaster } from '../../pipeline/sizes/resample.js';
import { drawn, firstDifference, pixelAt, plateOf } from '../helpers/rasters.js';
import { specWith } from '../helpers/specs.js';

const spec = specWith();
const picture = (width: number, height: number, ppi?: number) => ({
  width,
  height,
  ppi: ppi === undefined ? undefined : { x: ppi, y: ppi },
});

describe('a working page is held against trim plus bleed', () => {
  test('the exact size at 600 ppi fits whole; 2062.5 px at 300 ppi are 2063, so that its last column is repeated', () => {
    const { plan, noticed } = planFit(picture(4125, 6300, 600), spec, 'in');
    expect(plan?.crop).toEqual({ left: 0, top: 0, width: 4126, height: 6300 });
    expect(plan?.effectivePpi).toBeCloseTo(600, 1);
    expect(noticed).toEqual([]);
  });

  test('another resolution of the same shape fits, whatever ppi the file states', () => {
    expect(planFit(picture(2750, 4200, 72), spec, 'in').plan?.effectivePpi).toBeCloseTo(400, 1);
  });

  test('a shape that is off by a tenth of a millimetre is cropped evenly, not stretched', () => {
    const { plan } = planFit(picture(4128, 6300), spec, 'in');
    expect(plan?.crop).toEqual({ left: 1, top: 0, width: 4126, height: 6300 });
  });

  test('the shape of the trim alone is a page without bleed', () => {
    const { plan, noticed } = planFit(picture(3975, 6150, 600), spec, 'in');
    expect(plan).toBeUndefined();
    expect(noticed[0]).toMatchObject({ code: 'bleed-missing', severity: 'stop' });
  });

  test('a square page, whose shape is the same with and without bleed, is held against its stated size', () => {
    const square = specWith({ trim: { widthMm: 210, heightMm: 210 }, bleedMm: 3 });
    const [withBleed, trimOnly] = [Math.round((216 / 25.4) * 600), Math.round((210 / 25.4) * 600)];
    const look = (px: number, ppi?: number) => planFit(picture(px, px, ppi), square, 'mm');
    expect(look(withBleed, 600)).toMatchObject({ plan: { crop: { width: withBleed } }, noticed: [] });
    expect(look(trimOnly, 600)).toMatchObject({ plan: undefined, noticed: [{ code: 'bleed-missing' }] });
    for (const unsure of [look(trimOnly), look(trimOnly, 72)]) {
      expect(unsure.plan).toBeDefined();
      expect(unsure.noticed).toMatchObject([{ code: 'bleed-unsure', severity: 'warn' }]);
    }
  });

  test('an even margin around the bleed is cropped when the file states its resolution', () => {
    const { plan, noticed } = planFit(picture(4125 + 300, 6300 + 300, 600), spec, 'in');
    expect(plan?.crop).toEqual({ left: 149, top: 150, width: 4126, height: 6300 });
    expect(noticed[0].code).toBe('margin-cropped');
  });

  test('a wrong shape stops the page, and a page on its side is told as such', () => {
    expect(planFit(picture(4125, 5000), spec, 'in').noticed[0]).toMatchObject({
      code: 'shape-wrong',
      severity: 'stop',
    });
    expect(planFit(picture(6300, 4125), spec, 'in').noticed[0].message).toMatch(/on its side/);
  });

  test('a spread is as wide as two pages together', () => {
    const spread = specWith({ trim: { widthMm: 2 * 168.275, heightMm: 260.35 } });
    expect(planFit(picture(8100, 6300, 600), spread, 'in').plan).toBeDefined();
    expect(planFit(picture(4125, 6300, 600), spread, 'in').plan).toBeUndefined();
  });
});

describe('bringing a picture to its size', () => {
  const whole = (width: number, height: number) => ({
    crop: { left: 0, top: 0, width, height },
    effectivePpi: 600,
  });

  test('a picture of the right size is handed on number for number', async () => {
    const page = drawn(40, 60, 'cmyk', (x, y) => [x, y, x + y, 7]);
    expect(await fitRaster(page, whole(40, 60), { width: 40, height: 60 })).toBe(page);
  });

  test.each([
    ['grey', [90]],
    ['grey', [90, 128]],
    ['rgb', [10, 120, 240]],
    ['rgb', [10, 120, 240, 128]],
    ['cmyk', [10, 60, 120, 240]],
    ['cmyk', [10, 60, 120, 240, 128]],
  ] as const)(
    'an even %s of %j stays what it is at half the size, in 8 and 16 bit',
    async (model, samples) => {
      const page = drawn(64, 48, model, () => samples);
      const small = await fitRaster(page, whole(64, 48), { width: 32, height: 24 });
      // With transparency, colour is weighted by alpha and divided by it again, each time rounded down.
      const slack = model === 'rgb' && samples.length === 4 ? 1 : 0;
      for (const [i, value] of pixelAt(small, 5, 5).entries())
        expect(Math.abs(value - samples[i])).toBeLessThanOrEqual(slack);
      expect(small.data.length).toBe(32 * 24 * samples.length);
      const deep = { ...page, data: Uint16Array.from(page.data, (value) => value * 257) };
      const smallDeep = await fitRaster(deep, whole(64, 48), { width: 32, height: 24 });
      expect(smallDeep.data).toBeInstanceOf(Uint16Array);
      for (const [i, value] of pixelAt(smallDeep, 5, 5).entries())
        expect(Math.abs(value - samples[i] * 257)).toBeLessThan(3);
    },
  );

  test('only the planned part of the picture is used', async () => {
    const page = drawn(50, 50, 'rgb', (x, y) =>
      x < 10 || y < 10 || x >= 40 || y >= 40 ? [255, 0, 0] : [0, 0, 255],
    );
    const plan = { crop: { left: 10, top: 10, width: 30, height: 30 }, effectivePpi: 300 };
    const cut = await fitRaster(page, plan, { width: 30, height: 30 });
    expect(
      firstDifference(
        cut,
        drawn(30, 30, 'rgb', () => [0, 0, 255]),
      ),
    ).toBeUndefined();
  });

  test('a plate keeps its tones in between: the threshold comes later', async () => {
    const plate = plateOf(64, 64, (x) => (x < 33 ? 255 : 0));
    const half = await fitPlate(plate, whole(64, 64), { width: 32, height: 32 });
    const edge = half.data[16];
    expect(edge).toBeGreaterThan(40);
    expect(edge).toBeLessThan(215);
  });
});
