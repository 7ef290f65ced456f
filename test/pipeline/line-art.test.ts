import { describe, expect, test } from 'vitest';
import { fitInk } from '../../pipeline/fit.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { noticeGrey } from '../../pipeline/line/grey.js';
import {
  inkAmount,
  inkBits,
  inkOnly,
  inkSharePercent,
  isNeutral,
  linePlate,
  thresholdOf,
  withSamples,
} from '../../pipeline/line/ink-amount.js';
import { bothLines, lineWithoutMasked, withoutMasked } from '../../pipeline/line/masks.js';
import { bitsOf, drawn, firstDifference, plateOf, plateOfBits, seeded } from '../helpers/rasters.js';
import { lineSettings } from '../helpers/specs.js';

const arena = new PageArena();

describe('the line plate', () => {
  const plan = { crop: { left: 0, top: 0, width: 90, height: 70 }, effectivePpi: 600 };

  test('equals 1-bit inks bit for bit at equal ppi', async () => {
    const random = seeded(7);
    const inks = drawn(90, 70, 'grey', () => [random() < 0.3 ? 0 : 255]);
    const expected = plateOf(90, 70, (x, y) => 255 - inks.data[y * 90 + x]);
    for (const ink of [inkBits(inks, arena), inkAmount(inks, arena)]) {
      const plate = linePlate(await fitInk(ink, plan, { width: 90, height: 70 }, arena), lineSettings, arena);
      expect(firstDifference(plateOfBits(plate), expected)).toBeUndefined();
    }
  });

  test('holds ink or paper and nothing between, also when resampled', async () => {
    const soft = plateOf(90, 70, (x, y) => Math.round(127 + 127 * Math.sin((x + y) / 5)));
    const plate = linePlate(
      await fitInk(soft, plan, { width: 180, height: 140 }, arena),
      lineSettings,
      arena,
    );
    expect(inkSharePercent(plate, arena)).toBeGreaterThan(40);
    expect(inkSharePercent(plate, arena)).toBeLessThan(60);
  });

  test('has the ink of a 1-bit picture, which gets its samples back where they are asked for', () => {
    const random = seeded(8);
    const raster = drawn(90, 70, 'grey', () => [random() < 0.3 ? 0 : 255]);
    const facts = { format: 'tiff', width: 90, height: 70, ppi: { x: 600, y: 600 }, noticed: [] } as const;
    const picture = { ...facts, kind: 'flat', profile: undefined, bitsPerSample: 1, raster } as const;
    const inks = inkOnly(picture, arena);
    expect(inks.ink).toEqual(inkBits(raster, arena));
    expect(inks).not.toHaveProperty('raster');
    expect(withSamples(inks, arena)).toEqual(picture);
  });

  test('is the same at another size whether the inks came as bits or as tone', async () => {
    const random = seeded(9);
    const inks = drawn(90, 70, 'grey', () => [random() < 0.3 ? 0 : 255]);
    const [bits, tone] = await Promise.all(
      [inkBits(inks, arena), inkAmount(inks, arena)].map(async (ink) =>
        linePlate(await fitInk(ink, plan, { width: 135, height: 105 }, arena), lineSettings, arena),
      ),
    );
    expect(bits).toEqual(tone);
  });

  test('takes half covered as ink, by the threshold of the job', () => {
    expect(thresholdOf({ thresholdPercent: 50 })).toBe(128);
    expect(thresholdOf({ thresholdPercent: 0 })).toBe(1);
    expect(thresholdOf({ thresholdPercent: 100 })).toBe(255);
  });

  test('loses the ink beneath a mask of another size, and nothing else', () => {
    const plate = plateOf(40, 40, () => 255);
    const mask = plateOf(20, 20, (x) => (x >= 10 ? 255 : 0));
    const expected = plateOf(40, 40, (x) => (x < 20 ? 255 : 0));
    const kept = lineWithoutMasked(bitsOf(plate), bitsOf(mask));
    expect(firstDifference(withoutMasked(plate, bitsOf(mask)), expected)).toBeUndefined();
    expect(firstDifference(plateOfBits(kept), expected)).toBeUndefined();
  });

  test('joins two lines', () => {
    const joined = bothLines(
      plateOf(4, 1, (x) => (x < 2 ? 255 : 0)),
      plateOf(4, 1, (x) => (x === 3 ? 255 : 0)),
    );
    expect([...joined.data]).toEqual([255, 255, 0, 255]);
  });
});

describe('the ink of a line picture', () => {
  test('is its darkness times its opacity', () => {
    expect([
      ...inkAmount(
        drawn(1, 1, 'grey', () => [0]),
        arena,
      ).data,
    ]).toEqual([255]);
    expect([
      ...inkAmount(
        drawn(1, 1, 'rgb', () => [255, 255, 255, 255]),
        arena,
      ).data,
    ]).toEqual([0]);
    expect([
      ...inkAmount(
        drawn(1, 1, 'rgb', () => [0, 0, 0, 128]),
        arena,
      ).data,
    ]).toEqual([128]);
    expect([
      ...inkAmount(
        drawn(1, 1, 'cmyk', () => [0, 0, 0, 200]),
        arena,
      ).data,
    ]).toEqual([200]);
    const deep = { ...drawn(1, 1, 'grey', () => [0]), data: Uint16Array.of(65535) };
    expect([...inkAmount(deep, arena).data]).toEqual([0]);
  });

  test('is neutral while no visible pixel is coloured', () => {
    expect(
      isNeutral(
        drawn(2, 2, 'rgb', () => [30, 28, 31]),
        lineSettings,
      ),
    ).toBe(true);
    expect(
      isNeutral(
        drawn(2, 2, 'rgb', (x) => (x === 1 ? [200, 40, 40] : [0, 0, 0])),
        lineSettings,
      ),
    ).toBe(false);
    expect(
      isNeutral(
        drawn(2, 2, 'rgb', () => [200, 40, 40, 0]),
        lineSettings,
      ),
    ).toBe(true);
    expect(
      isNeutral(
        drawn(2, 2, 'cmyk', () => [180, 60, 0, 0]),
        lineSettings,
      ),
    ).toBe(false);
    expect(
      isNeutral(
        drawn(2, 2, 'cmyk', () => [0, 0, 0, 255]),
        lineSettings,
      ),
    ).toBe(true);
  });
});

describe('grey in line art', () => {
  test('a wash is reported', () => {
    const wash = plateOf(60, 60, (x) => (x < 30 ? 255 : 120));
    expect(noticeGrey(wash, arena)[0]).toMatchObject({ code: 'line-grey', severity: 'warn' });
  });

  test('the soft edge of a scanned line is no wash', () => {
    const line = plateOf(60, 60, (x) => (x === 20 || x === 26 ? 128 : x > 20 && x < 26 ? 255 : 0));
    expect(noticeGrey(line, arena)).toEqual([]);
  });
});
