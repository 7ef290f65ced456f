import { describe, expect, test } from 'vitest';
import { fitInk } from '../../../pipeline/fit.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { fitSteps } from '../../../pipeline/sizes/fit-steps.js';
import { cutRaster, fitRaster } from '../../../pipeline/sizes/resample.js';
import {
  bitsOf,
  drawn,
  firstDifference,
  pixelAt,
  plateOf,
  plateOfBits,
  seeded,
} from '../../helpers/rasters.js';

const arena = new PageArena();
const plan = (left: number, top: number, width: number, height: number) => ({
  crop: { left, top, width, height },
  effectivePpi: 600,
});

function noise(width: number, height: number, channels: number): Raster {
  const random = seeded(width * 31 + channels);
  const model = channels < 3 ? 'grey' : channels < 5 ? 'rgb' : 'cmyk';
  return drawn(width, height, model, () =>
    Array.from({ length: channels }, () => Math.floor(random() * 256)),
  );
}

/** By definition: each pixel is the picture's own, or that of its nearest edge. */
function byDefinition(picture: Raster, left: number, top: number, width: number, height: number): Raster {
  const at = (place: number, length: number) => Math.min(length - 1, Math.max(0, place));
  const samples = drawn(width, height, picture.model, (x, y) =>
    pixelAt(picture, at(left + x, picture.width), at(top + y, picture.height)),
  );
  const deep = picture.data instanceof Uint16Array;
  if (!deep) return samples;
  const channels = picture.data.length / (picture.width * picture.height);
  const data = new Uint16Array(samples.data.length);
  for (let i = 0; i < data.length; i++) {
    const pixel = Math.floor(i / channels);
    const [x, y] = [pixel % width, Math.floor(pixel / width)];
    const from = at(top + y, picture.height) * picture.width + at(left + x, picture.width);
    data[i] = picture.data[from * channels + (i % channels)];
  }
  return { ...samples, data };
}

const boxes = [
  [0, 0, 32, 22],
  [-1, -1, 33, 23],
  [0, 0, 34, 24],
  [1, 0, 32, 23],
  [-2, 3, 40, 15],
] as const;

describe('a picture within a pixel of its size', () => {
  test.each([
    ['grey', 1],
    ['grey with alpha', 2],
    ['rgb', 3],
    ['rgb with alpha', 4],
    ['cmyk with alpha', 5],
  ])(
    'comes through number for number, its edge dropped or repeated: %s, 8 and 16 bit',
    async (_, channels) => {
      const page = noise(33, 23, channels);
      const deep = { ...page, data: Uint16Array.from(page.data, (value, i) => value * 257 - (i % 2)) };
      for (const [left, top, width, height] of boxes) {
        for (const picture of [page, deep]) {
          const fitted = await fitRaster(picture, plan(left, top, width, height), { width, height });
          const wanted = byDefinition(picture, left, top, width, height);
          expect(firstDifference(fitted, wanted)).toBeUndefined();
          expect(fitted).toMatchObject({ width, height, model: page.model, alpha: page.alpha });
        }
      }
    },
  );

  test('comes through bit for bit as 1-bit inks, wherever a word of bits begins', async () => {
    const random = seeded(5);
    for (const width of [63, 64, 65, 130]) {
      const inks = plateOf(width, 9, () => (random() < 0.5 ? 255 : 0));
      const grey: Raster = { ...inks, model: 'grey', alpha: false };
      for (const [left, top, across, down] of [
        [0, 0, width - 1, 9],
        [0, 0, width + 1, 10],
        [-1, -1, width + 2, 11],
        [1, 1, width - 2, 7],
        [37, 2, width - 37, 5],
        [-37, 0, width + 40, 9],
      ]) {
        const size = { width: across, height: down };
        const fitted = await fitInk(bitsOf(inks), plan(left, top, across, down), size, arena);
        if (!('bits' in fitted)) throw new Error('1-bit inks were resampled');
        const wanted = byDefinition(grey, left, top, across, down);
        expect(fitted).toEqual(bitsOf({ ...size, data: wanted.data as Uint8Array }));
        expect(firstDifference(plateOfBits(fitted), wanted)).toBeUndefined();
      }
    }
  });

  test('is the picture itself where nothing is to be done', async () => {
    const page = noise(33, 23, 3);
    expect(cutRaster(page, plan(0, 0, 33, 23).crop)).toBe(page);
  });
});

describe('a picture at twice its printed size', () => {
  test('is cut to exactly twice first, then halved', async () => {
    const page = noise(41, 31, 3);
    const halved = await fitRaster(page, plan(0, 0, 40, 30), { width: 20, height: 15 });
    const cut = byDefinition(page, 0, 0, 40, 30);
    expect(
      firstDifference(halved, await fitRaster(cut, plan(0, 0, 40, 30), { width: 20, height: 15 })),
    ).toBeUndefined();
  });

  test('that is a pixel short is halved as if its edge went on, and stays in its place', async () => {
    const page = drawn(119, 79, 'rgb', (x, y) =>
      [128 + 100 * Math.sin(x / 5), 128 + 100 * Math.cos(y / 7), 90].map(Math.round),
    );
    const size = { width: 60, height: 40 };
    const fitted = await fitRaster(page, plan(0, 0, 120, 80), size);
    const longer = await fitRaster(byDefinition(page, 0, 0, 120, 80), plan(0, 0, 120, 80), size);
    expect([fitted.width, fitted.height]).toEqual([60, 40]);
    // Only what the kernel reaches from the last, incomplete pair may differ: three pixels.
    const inner = (one: Raster) => byDefinition(one, 0, 0, 56, 36);
    expect(firstDifference(inner(fitted), inner(longer))).toBeUndefined();
    expect(firstDifference(fitted, longer, 40)).toBeUndefined();
    expect(pixelAt(fitted, 59, 20)).toEqual(pixelAt(fitted, 58, 20));
  });

  test('needs no picture in memory for that, but at other ratios its edge comes first', () => {
    expect(fitSteps({ width: 119, height: 80 }, plan(0, 0, 120, 80).crop, { width: 60, height: 40 })).toEqual(
      {
        crop: { left: 0, top: 0, width: 118, height: 80 },
        size: { width: 59, height: 40 },
        edges: { left: 0, right: 1, top: 0, bottom: 0 },
      },
    );
    expect(
      fitSteps({ width: 119, height: 80 }, plan(0, 0, 120, 80).crop, { width: 80, height: 40 }),
    ).toBeUndefined();
  });

  test('that is a pixel short comes to two thirds of its size with its edge repeated', async () => {
    const page = noise(119, 80, 3);
    const size = { width: 80, height: 53 };
    const longer = byDefinition(page, 0, 0, 120, 80);
    const fitted = await fitRaster(page, plan(0, 0, 120, 80), size);
    expect(firstDifference(fitted, await fitRaster(longer, plan(0, 0, 120, 80), size))).toBeUndefined();
  });
});
