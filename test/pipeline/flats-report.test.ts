import { describe, expect, test } from 'vitest';
import { drawFlatsReport } from '../../pipeline/flats-report.js';
import { inspectFlats } from '../../pipeline/inspect-flats.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { boxIn, painted, white } from '../helpers/drawn-flats.js';
import { bitsOf, drawn, pixelAt, plateOf } from '../helpers/rasters.js';
import { specWith } from '../helpers/specs.js';

const arena = new PageArena();

/** 240 x 320 px at 300 ppi with a bleed of 20; the picture has 150 ppi, so the page on it 120 x 160. */
const [width, height] = [240, 320];
const mm = (px: number) => (px * 25.4) / 300;
const spec = specWith({
  trim: { widthMm: mm(200), heightMm: mm(280) },
  bleedMm: mm(20),
  linePpi: 300,
  proofPpi: 150,
});
const stated = { x: 300, y: 300 };
const [red, blue] = [
  [200, 30, 40],
  [30, 60, 190],
] as const;
const halves = drawn(width, height, 'rgb', (x) => (x < 120 ? red : blue));
const line = bitsOf(plateOf(width, height, (_, y) => (y >= 200 && y < 204 ? 255 : 0)));

async function reported(flats: Raster) {
  const inspected = inspectFlats(
    { pixels: flats, ppi: stated },
    { pixels: line, ppi: stated },
    { spec, units: 'mm' },
    arena,
  );
  const words = { title: 'TRY01, page 7', file: 'p07 flats v2.png', spec };
  const picture = await drawFlatsReport(flats, inspected, words, arena);
  return { picture, own: Uint8Array.from(picture.data) };
}

/** Margin of the picture, and where the page begins below its head: two heights of 19 px, two lines of words. */
const em = 19;
const left = 2 * em;
const pageTop = Math.ceil(3 * em + 1.95 * em + 1.5 * em);

/** Pixels in which two pictures of one width differ, as far as both go down. */
function differing(
  one: Uint8Array,
  other: Uint8Array,
  rows: readonly [number, number],
  rowLength: number,
): number {
  let count = 0;
  for (let i = rows[0] * rowLength; i < rows[1] * rowLength; i++) if (one[i] !== other[i]) count++;
  return count;
}

describe('the picture for the helper', () => {
  test('shows the flats pale, with the line over them', async () => {
    const { picture } = await reported(halves);
    expect(pixelAt(picture, left + 20, pageTop + 40)).toEqual([228, 143, 148]);
    const onLine = pixelAt(picture, left + 20, pageTop + 101);
    expect(onLine[0]).toBeLessThan(228);
  });

  test('has a box about what was found, and nothing else on the page', async () => {
    const sound = await reported(halves);
    const stray = await reported(painted(halves, boxIn(60, 160, 2, 2, blue)));
    const row = sound.picture.width * 3;
    const [above, about] = [
      [pageTop, pageTop + 45],
      [pageTop + 65, pageTop + 95],
    ] as const;
    expect(differing(sound.own, stray.own, above, row)).toBe(0);
    expect(differing(sound.own, stray.own, about, row)).toBeGreaterThan(100);
    expect(pixelAt(stray.picture, left + 29, pageTop + 82)[0]).toBeGreaterThan(90);
  });

  test('lists what was found below, and grows with it', async () => {
    const sound = await reported(halves);
    const several = [
      ...boxIn(60, 100, 2, 2, blue),
      ...boxIn(30, 40, 2, 2, white),
      ...boxIn(90, 30, 9, 9, [200, 31, 40]),
    ];
    const found = await reported(painted(halves, several));
    expect(found.picture.height).toBeGreaterThan(sound.picture.height + 12 * em);
  });

  test('is the same on every run, and is drawn of flats of another shape than the page', async () => {
    const flats = painted(halves, boxIn(60, 100, 2, 2, blue));
    const [one, other] = [await reported(flats), await reported(flats)];
    expect(Buffer.from(one.own).equals(other.own)).toBe(true);
    const square = await reported(drawn(200, 200, 'grey', (x) => [x < 100 ? 90 : 200]));
    expect(pixelAt(square.picture, left + 5, pageTop + 40)).toEqual([173, 173, 173]);
  });
});
