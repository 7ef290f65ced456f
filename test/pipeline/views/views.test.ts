import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { emptyBitmap } from '../../../pipeline/line/bitmap.js';
import type { HeatMap } from '../../../pipeline/model/places.js';
import { heatOpacity, heatScales, stepOfValues } from '../../../pipeline/views/heat-scales.js';
import { heatStrip, inkMap } from '../../../pipeline/views/heat-strip.js';
import {
  plateStrip,
  smallPlanes,
  smallPlate,
  stripSize,
  viewSize,
} from '../../../pipeline/views/plate-strip.js';
import { drawn } from '../../helpers/rasters.js';

async function pixels(picture: Uint8Array) {
  const { data, info } = await sharp(picture).raw().toBuffer({ resolveWithObject: true });
  return {
    ...info,
    at: (x: number, y: number) => [
      ...data.subarray((y * info.width + x) * info.channels, (y * info.width + x + 1) * info.channels),
    ],
  };
}

describe('pictures for the report', () => {
  test.each([
    ['an ordinary page', { width: 825, height: 1275 }, { width: 518, height: 800 }],
    ['a very wide one', { width: 6000, height: 600 }, { width: 1600, height: 160 }],
    ['a small one, which is not made larger', { width: 80, height: 108 }, { width: 80, height: 108 }],
    ['a thread', { width: 6000, height: 3 }, { width: 1600, height: 1 }],
  ])('have the size of %s', (_what, page, size) => expect(viewSize(page)).toEqual(size));

  test('have planes of mean amounts, each pixel counted once', () => {
    const inks = drawn(7, 5, 'cmyk', (x, y) => [x < 4 ? 255 : 0, y * 50, 30, x * 10]);
    const [cyan, magenta, yellow, black] = smallPlanes(inks, { width: 3, height: 2 });
    // Columns 0 to 2, 3 and 4, 5 and 6; rows 0 to 2, and 3 and 4.
    expect([...cyan]).toEqual([255, 128, 0, 255, 128, 0]);
    expect([...magenta]).toEqual([50, 50, 50, 175, 175, 175]);
    expect([...yellow]).toEqual(new Array(6).fill(30));
    expect([...black]).toEqual([10, 35, 55, 10, 35, 55]);
  });

  test('have a line plate with as much ink as the line', async () => {
    const line = emptyBitmap({ width: 320, height: 160 });
    for (let y = 0; y < 80; y++) for (let x = 0; x < 20; x++) line.bits[y * line.rowBytes + x] = 255;
    const small = await smallPlate(line, { width: 40, height: 20 });
    expect([small[0], small[10 * 40 - 25], small[39], small[19 * 40]]).toEqual([255, 255, 0, 0]);
    const mean = small.reduce((sum, one) => sum + one, 0) / small.length / 255;
    expect(mean).toBeCloseTo(0.25, 2);
  });

  test('stand in strips one beneath the other, ink dark', async () => {
    const size = stripSize({ width: 32, height: 64 });
    expect(size).toEqual({ width: 24, height: 48 });
    const plates = [0, 255, 128].map((ink) => new Uint8Array(24 * 48).fill(ink));
    const jpeg = await plateStrip(plates, size);
    const { channels, space } = await sharp(jpeg).metadata();
    expect([channels, space]).toEqual([1, 'b-w']);
    const strip = await pixels(jpeg);
    expect([strip.width, strip.height]).toEqual([24, 144]);
    for (const [tile, grey] of [255, 0, 127].entries()) {
      expect(Math.abs(strip.at(12, tile * 48 + 24)[0] - grey)).toBeLessThan(3);
    }
  });
});

describe('a heat picture', () => {
  const size = { width: 20, height: 10 };
  const planes = (percent: number) =>
    [0, 1, 2, 3].map(() => new Uint8Array(20 * 10).fill(Math.round((percent * 255) / 400)));

  test('of ink coverage tells the most of each little square', () => {
    const inks = planes(100);
    for (const plane of inks) plane[5 * 20 + 8] = 255;
    const map = inkMap(inks, size, 75);
    expect([map.width, map.height, map.ppi]).toEqual([10, 5, 37.5]);
    expect(map.values[2 * 10 + 4] * map.perStep).toBe(400);
    expect(map.values[0] * map.perStep).toBe(100);
  });

  test.each([
    [158, 0],
    [160, 1],
    [239, 2],
    [240, 3],
    [320, 5],
    [400, 6],
  ])('of %i percent of ink is in step %i', (percent, step) => {
    const map = inkMap(planes(percent), size, 75);
    expect(stepOfValues(heatScales['ink-coverage'], map)[map.values[0]]).toBe(step);
  });

  test('is clear where nothing is to be shown, and darker the higher the figure', async () => {
    const values = Uint8Array.from({ length: 20 * 10 }, (_, i) => i % 20);
    const map: HeatMap = { ...size, ppi: 20, values, perStep: 1, unit: 'CIEDE2000' };
    const strip = await pixels(
      heatStrip(
        [
          { role: 'out-of-gamut', map },
          { role: 'fidelity', map },
        ],
        size,
      ),
    );
    expect([strip.width, strip.height, strip.channels]).toEqual([20, 20, 4]);
    expect(strip.at(1, 5)[3]).toBe(0);
    for (const [step, { from, rgb }] of heatScales['out-of-gamut'].steps.entries()) {
      expect(strip.at(from, 5), `step ${step}`).toEqual([...rgb, heatOpacity]);
    }
    for (const { from, rgb } of heatScales.fidelity.steps)
      expect(strip.at(from, 15)).toEqual([...rgb, heatOpacity]);
    const light = heatScales.fidelity.steps.map(
      ({ rgb: [red, green, blue] }) => 0.2126 * red + 0.7152 * green + 0.0722 * blue,
    );
    expect(light).toEqual([...light].sort((a, b) => b - a));
  });

  test('gives the same bytes for the same figures', () => {
    const map = inkMap(planes(300), size, 75);
    const twice = [1, 2].map(() =>
      Buffer.from(heatStrip([{ role: 'ink-coverage', map }], map)).toString('hex'),
    );
    expect(twice[0]).toBe(twice[1]);
  });
});
