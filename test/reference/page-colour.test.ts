import { beforeAll, describe, expect, test } from 'vitest';
import { openPress } from '../../config/press.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { greyProfile, rgbProfile, widePrimaries } from '../helpers/icc-writer.js';
import { type Model, openReference, type Reference, type ReferenceSpace } from '../helpers/little-cms.js';
import { colourPx, linePx, type PageThrough, pageThrough, plainTiff } from '../helpers/page-through.js';
import { drawn, firstDifference, seeded } from '../helpers/rasters.js';
import { inksTiffOf } from '../helpers/small-issue.js';

// The whole way from the dropped file to the composite TIFF, held against Little CMS 2.16 (lcms-wasm) in floating point
// outside the line. Tolerance as for the table path on page pixels: at most 5 of 255, 99.5 % within 2.

let reference: Reference;
beforeAll(async () => {
  reference = await openReference();
});

/** Patches of 25 pixels; their middles are out of reach of any resampling. */
const patchPx = 25;
const columns = Math.floor(colourPx.width / patchPx);
const rows = Math.floor(colourPx.height / patchPx);

function patches(model: 'rgb' | 'grey', seed: number): { colours: number[][]; picture: Raster } {
  const random = seeded(seed);
  const channels = model === 'grey' ? 1 : 3;
  const colours = Array.from({ length: columns * rows }, () =>
    Array.from({ length: channels }, () => Math.floor(random() * 256)),
  );
  const at = (x: number, y: number) =>
    colours[
      Math.min(rows - 1, Math.floor(y / patchPx)) * columns + Math.min(columns - 1, Math.floor(x / patchPx))
    ];
  return { colours, picture: drawn(colourPx.width, colourPx.height, model, at) };
}

/** Holds the patches of a page against the reference; dark ones beyond the ink limit only against the limit. */
async function expectLikeReference(
  page: PageThrough,
  colours: readonly number[][],
  from: ReferenceSpace,
  model: Model,
  limit: number,
): Promise<void> {
  const { profile } = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  const wanted = reference.convert(
    from,
    model,
    profile,
    'cmyk',
    'relative',
    true,
    Float32Array.from(colours.flat(), (v) => v / 255),
  );
  const data = page.composite?.data ?? [];
  const errors: number[] = [];
  for (let index = 0; index < colours.length; index++) {
    const x = (index % columns) * patchPx + 12;
    const y = Math.floor(index / columns) * patchPx + 12;
    const found = [0, 1, 2, 3].map((ink) => data[(y * colourPx.width + x) * 4 + ink]);
    const asked = [...wanted.slice(index * 4, index * 4 + 4)].map((ink) => ink * 255);
    expect(sum(found)).toBeLessThanOrEqual((limit * 255) / 100);
    // Near the limit the link begins to lower ink; what is clear of it must be as the reference has it.
    if (sum(asked) > ((limit - 20) * 255) / 100) continue;
    errors.push(...found.map((ink, i) => Math.abs(ink - asked[i])));
  }
  expect(errors.length).toBeGreaterThan(colours.length * 2);
  expect(Math.max(...errors)).toBeLessThanOrEqual(5);
  expect(errors.filter((error) => error <= 2).length / errors.length).toBeGreaterThan(0.995);
}

const sum = (inks: readonly number[]) => inks.reduce((total, ink) => total + ink, 0);

describe('the colour of a page, from the dropped file to the composite', () => {
  const asPainted = '    print: { line: { lift: false } }';

  test('is that of sRGB seen through the press profile', async () => {
    const { colours, picture } = patches('rgb', 5);
    const page = await pageThrough({ 'p1.tif': plainTiff(picture, 100) }, asPainted);
    expect(page.report.findings.map(({ code }) => code)).toContain('profile-untagged');
    await expectLikeReference(page, colours, 'srgb', 'rgb', 320);
  });

  test('is for the record where job.yaml says itself what untagged colour is, and for a look where it does not', async () => {
    const { picture } = patches('rgb', 5);
    const stated = '    print: { line: { lift: false }, untagged: srgb }';
    const severities = [];
    for (const settings of [asPainted, stated]) {
      const { report } = await pageThrough({ 'p1.tif': plainTiff(picture, 100) }, settings);
      severities.push(report.findings.find(({ code }) => code === 'profile-untagged')?.severity);
    }
    expect(severities).toEqual(['warn', 'note']);
  });

  test('follows the profile that is embedded: a wide RGB is not taken for sRGB', async () => {
    const { colours, picture } = patches('rgb', 6);
    const wide = rgbProfile(widePrimaries, 2.2);
    const page = await pageThrough({ 'p1.tif': plainTiff(picture, 100, wide) }, asPainted);
    expect(page.report.findings.map(({ code }) => code)).not.toContain('profile-untagged');
    await expectLikeReference(page, colours, wide, 'rgb', 320);
  });

  test('follows the profile of a grey page', async () => {
    const { colours, picture } = patches('grey', 7);
    const grey = greyProfile(1.8);
    const page = await pageThrough({ 'p1.tif': plainTiff(picture, 100, grey) }, asPainted);
    await expectLikeReference(page, colours, grey, 'grey', 320);
  });
});

describe('CMYK that is in the inks of the press already', () => {
  const random = seeded(8);
  // At most 75 % of each ink, so that no pixel is above the limit of 320 %.
  const inks = drawn(colourPx.width, colourPx.height, 'cmyk', () =>
    Array.from({ length: 4 }, () => Math.floor(random() * 192)),
  );
  let profile: Uint8Array;
  beforeAll(async () => {
    profile = (await openPress({ kind: 'shipped', name: 'cgats-tr006' })).profile;
  });

  test('passes number for number into the composite and onto the plates', async () => {
    const page = await pageThrough({ 'p1.tif': plainTiff(inks, 100, profile) });
    expect(page.composite && firstDifference(page.composite, inks)).toBeUndefined();
    for (const [ink, plate] of page.plates.entries()) {
      const own = inks.data.filter((_, i) => i % 4 === ink);
      expect(firstDifference({ width: 1, data: plate }, { width: 1, data: own })).toBeUndefined();
    }
  });

  test('is rounded to the nearest of 255 where it comes in 16 bit', async () => {
    const data = Uint16Array.from(inks.data, (value, i) => Math.min(65535, value * 257 + ((i * 37) % 257)));
    const page = await pageThrough({ 'p1.tif': plainTiff({ ...inks, data }, 100, profile) });
    const wanted = Uint8Array.from(data, (value) => Math.round((value * 255) / 65535));
    expect(
      page.composite && firstDifference(page.composite, { width: inks.width, data: wanted }),
    ).toBeUndefined();
  });

  test('keeps its numbers wherever no line of the line part lies', async () => {
    const stroke = (x: number) => x >= 200 && x < 216;
    const line = drawn(linePx.width, linePx.height, 'grey', (x) => [stroke(x) ? 0 : 255]);
    const files = { 'p1 colour.tif': plainTiff(inks, 100, profile), 'p1 line.tif': await inksTiffOf(line) };
    // A stroke this thick would get support ink, which changes the colour beneath on purpose; not beside it.
    const page = await pageThrough(files);
    const found = page.composite?.data ?? [];
    for (let i = 0; i < inks.data.length; i++) {
      const x = (i >> 2) % colourPx.width;
      if (x < 100 || x >= 108) expect(found[i] === inks.data[i] || `${i}`).toBe(true);
      else if (i % 4 === 3) expect(found[i] === 255 || `${i}`).toBe(true);
    }
  });
});

describe('black line over colour', () => {
  const blocks = (x: number, y: number) =>
    x % 61 < 5 ||
    y % 47 < 3 ||
    Math.hypot(x - 225, y - 325) < 90 ||
    Math.abs(Math.hypot(x - 300, y - 150) - 60) < 3;
  const line = drawn(linePx.width, linePx.height, 'grey', (x, y) => [blocks(x, y) ? 0 : 255]);

  /** How many of the four line pixels beneath each colour pixel are ink, as 0 to 4. */
  const quarters = Uint8Array.from({ length: colourPx.width * colourPx.height }, (_, i) => {
    const [x, y] = [2 * (i % colourPx.width), 2 * Math.floor(i / colourPx.width)];
    return [0, 1, linePx.width, linePx.width + 1].filter(
      (step) => line.data[y * linePx.width + x + step] === 0,
    ).length;
  });

  const pair = async (colour: Raster) => ({
    'p1 colour.tif': plainTiff(colour, 100),
    'p1 line.tif': await inksTiffOf(line),
  });

  test('lies in register: its black is the share of line in each pixel, without a pixel of shift', async () => {
    const white = drawn(colourPx.width, colourPx.height, 'rgb', () => [255, 255, 255]);
    const page = await pageThrough(await pair(white), '    accept: { bleed-empty: "a white page" }');
    const black = page.composite?.data.filter((_, i) => i % 4 === 3) ?? [];
    const wanted = quarters.map((count) => Math.round((count * 255) / 4));
    expect(firstDifference({ width: 1, data: black }, { width: 1, data: wanted }, 1)).toBeUndefined();
    const ink = Uint8Array.from(line.data, (value) => 255 - value);
    expect(firstDifference({ width: 1, data: page.line ?? [] }, { width: 1, data: ink })).toBeUndefined();
  });

  test.each([
    ['cgats-tr006', 320],
    ['cgats-tr002', 240],
  ])('is 100 %% over colour, never over paper, inside the ink limit of %s', async (press, limit) => {
    const colour = drawn(colourPx.width, colourPx.height, 'rgb', (x, y) => [
      (x * 5 + y) % 200,
      (x + y * 3) % 180,
      90 + ((x * y) % 120),
    ]);
    const page = await pageThrough(await pair(colour), '', press);
    const data = page.composite?.data ?? new Uint8Array(0);
    expect(data.length).toBe(colourPx.width * colourPx.height * 4);
    let most = 0;
    for (let i = 0, at = 0; i < quarters.length; i++, at += 4) {
      const colourInk = data[at] + data[at + 1] + data[at + 2];
      most = Math.max(most, colourInk + data[at + 3]);
      if (quarters[i] !== 4) continue;
      expect(data[at + 3] === 255 || `pixel ${i}`).toBe(true);
      expect(colourInk > 0 || `paper beneath pixel ${i}`).toBe(true);
    }
    expect(most).toBeLessThanOrEqual((limit * 255) / 100);
  });
});
