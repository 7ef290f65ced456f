import { describe, expect, it } from 'vitest';
import type { PixelBox, SizePx } from '../../../config/units.js';
import { HalvedRows } from '../../../pipeline/kernels/halved-rows.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { fitSteps } from '../../../pipeline/sizes/fit-steps.js';
import { fitRaster } from '../../../pipeline/sizes/resample.js';
import { seeded } from '../../helpers/rasters.js';

const arena = new PageArena();
const atATime = 32;

/** Noise, and hard edges of black and white, where a sum passes both ends. */
function picture({ width, height }: SizePx): Uint8Array {
  const random = seeded(width * 7 + height);
  return Uint8Array.from({ length: width * height * 3 }, (_, i) =>
    i % 11 < 6 ? Math.floor(random() * 256) : random() < 0.5 ? 255 : 0,
  );
}

/** What comes of a picture that is written a few rows at a time. */
function halved(data: Uint8Array, from: SizePx, crop: PixelBox, size: SizePx): Uint8Array {
  const part = fitSteps(from, crop, size);
  if (part === undefined) throw new Error('no whole ratio');
  const rows = new HalvedRows(from.width, atATime, part, arena);
  written(rows, data, from, 0, from.height);
  return rows.data.slice();
}

function written(rows: HalvedRows, data: Uint8Array, { width }: SizePx, first: number, end: number): void {
  for (let y = first; y < end; y += atATime) {
    const count = Math.min(atATime, end - y);
    rows.begin(count).set(data.subarray(y * width * 3, (y + count) * width * 3));
    rows.end(count);
  }
}

const whole = ({ width, height }: SizePx) => ({ left: 0, top: 0, width, height });

describe('a picture that is halved while it is written', () => {
  // The image library (libvips 8.18) halves it as a whole; pictures from one row of tiles to many, narrow and wide.
  it.each([
    [{ width: 2, height: 2 }],
    [{ width: 4, height: 12 }],
    [{ width: 38, height: 30 }],
    [{ width: 38, height: 64 }],
    [{ width: 66, height: 98 }],
    [{ width: 4350, height: 140 }],
  ])('has the numbers of the image library, %o', async (from) => {
    const data = picture(from);
    const size = { width: from.width / 2, height: from.height / 2 };
    const raster = { ...from, model: 'rgb', alpha: false, data } as const;
    const library = await fitRaster(raster, { crop: whole(from), effectivePpi: 600 }, size);
    expect(Buffer.compare(halved(data, from, whole(from), size), library.data as Uint8Array)).toBe(0);
    arena.reset();
  });

  it.each([
    ['cut on all sides', { left: 6, top: 37, width: 60, height: 90 }],
    ['cut at the top only', { left: 0, top: 3, width: 80, height: 136 }],
    ['cut at the bottom only', { left: 10, top: 0, width: 70, height: 66 }],
    ['reaching past it, where its edge is repeated', { left: -4, top: -6, width: 90, height: 152 }],
  ])('is the part that the page takes, %s', async (_, crop) => {
    const from = { width: 80, height: 140 };
    const data = picture(from);
    const size = { width: crop.width / 2, height: crop.height / 2 };
    const raster = { ...from, model: 'rgb', alpha: false, data } as const;
    const library = await fitRaster(raster, { crop, effectivePpi: 600 }, size);
    expect(Buffer.compare(halved(data, from, crop, size), library.data as Uint8Array)).toBe(0);
    arena.reset();
  });

  it('goes on from where another of the same picture is', () => {
    const from = { width: 40, height: 100 };
    const part = { crop: whole(from), size: { width: 20, height: 50 }, edges: undefined };
    const data = picture(from);
    const [one, other] = [new HalvedRows(40, atATime, part, arena), new HalvedRows(40, atATime, part, arena)];
    written(one, data, from, 0, 64);
    other.follow(one);
    written(one, data, from, 64, 100);
    written(other, data, from, 64, 100);
    expect(Buffer.compare(other.data, one.data)).toBe(0);
    expect(Buffer.compare(one.data, halved(data, from, whole(from), part.size))).toBe(0);
    arena.reset();
  });

  it('keeps a plain colour to the edges', () => {
    const from = { width: 40, height: 44 };
    const data = new Uint8Array(40 * 44 * 3).fill(201);
    const found = halved(data, from, whole(from), { width: 20, height: 22 });
    expect([...new Set(found)]).toEqual([201]);
    arena.reset();
  });
});
