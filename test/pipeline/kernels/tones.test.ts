import { describe, expect, it } from 'vitest';
import { distancesTo } from '../../../pipeline/inks/distance.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { emptyBitmap, unlikePixels } from '../../../pipeline/line/bitmap.js';
import { levelsOf, toneOf } from '../../../pipeline/line/tone.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { bitsOf, drawn, plateOf, plateOfBits, seeded } from '../../helpers/rasters.js';

/** Each pass against its definition, one pixel at a time. Sizes do not fill the last vector. */

const arena = new PageArena();
const random = seeded(77);
const byte = () => Math.floor(random() * 256);
const noise = (width: number, height: number) =>
  drawn(width, height, 'rgb', () => (random() < 0.2 ? [255, 0, byte()] : [byte(), byte(), byte()]));

describe('how bright a pixel is', () => {
  const picture = noise(61, 23);
  const pixels = Array.from({ length: 61 * 23 }, (_, i) => [...picture.data.subarray(i * 3, i * 3 + 3)]);

  it('as light is its brightest channel', () => {
    expect([...levelsOf(picture, arena)]).toEqual(pixels.map((pixel) => Math.max(...pixel)));
  });

  it.each([0, 12, 100])('as ink goes up by what its channels differ beyond %i percent', (percent) => {
    const chroma = Math.floor((percent / 100) * 255);
    const wanted = pixels.map((pixel) => {
      const [high, low] = [Math.max(...pixel), Math.min(...pixel)];
      return Math.min(255, high + Math.max(0, high - low - chroma));
    });
    const tone = toneOf(picture, { blackMaxChromaPercent: percent }, arena);
    expect([...tone.data]).toEqual(wanted);
  });

  it('is the same for 16 bits', () => {
    const deep: Raster = { ...picture, data: Uint16Array.from(picture.data, (value) => value * 257) };
    expect(levelsOf(deep, arena)).toEqual(levelsOf(picture, arena));
    const settings = { blackMaxChromaPercent: 12 };
    expect(toneOf(deep, settings, arena)).toEqual(toneOf(picture, settings, arena));
  });
});

describe('where two pictures differ', () => {
  it.each([
    [3, 8],
    [1, 8],
    [4, 8],
    [3, 16],
  ])('is marked pixel by pixel, of %i channels of %i bits', (channels, bits) => {
    const [width, height] = [67, 19];
    const model = ({ 1: 'grey', 3: 'rgb', 4: 'cmyk' } as const)[channels as 1 | 3 | 4];
    const length = width * height * channels;
    const one = bits === 8 ? Uint8Array.from({ length }, byte) : Uint16Array.from({ length }, byte);
    const other = one.slice();
    for (let i = 0; i < length; i += 1 + Math.floor(random() * 40)) other[i] = byte();
    // Stretches that differ in every sample, at the end of a row as well.
    other.fill(7, 30 * channels, 70 * channels);
    const kind = { width, height, model, alpha: false };
    const marks = unlikePixels({ ...kind, data: one }, { ...kind, data: other }, arena);
    const differs = (i: number) =>
      one.subarray(i * channels, (i + 1) * channels).some((value, c) => value !== other[i * channels + c]);
    expect(plateOfBits(marks)).toEqual(plateOf(width, height, (x, y) => (differs(y * width + x) ? 255 : 0)));
  });
});

describe('how far a pixel is from the nearest marked one', () => {
  /** The least of all ways there, in thirds: a diagonal step is 4, a straight one 3. */
  const thirds = (dx: number, dy: number) => {
    const [least, most] = [Math.min(Math.abs(dx), Math.abs(dy)), Math.max(Math.abs(dx), Math.abs(dy))];
    return least * 4 + (most - least) * 3;
  };

  it.each([
    [97, 60, 20],
    [16, 40, 84],
    [1, 30, 9],
    // More rows than are worked on at a time.
    [9000, 70, 30],
  ])('is the chamfer distance on %i x %i pixels, up to %i pixels', (width, height, limitPx) => {
    const at = (share: number) =>
      [Math.floor(share * width), Math.floor(((share * 7) % 1) * height)] as const;
    const marked = [at(0.1), at(0.45), at(0.99)];
    const marks = plateOf(width, height, (x, y) => (marked.some(([u, v]) => u === x && v === y) ? 255 : 0));
    const wanted = Uint8Array.from({ length: width * height }, (_, i) => {
      const [x, y] = [i % width, Math.floor(i / width)];
      const least = Math.min(...marked.map(([u, v]) => thirds(x - u, y - v)));
      return Math.floor(Math.min(least, limitPx * 3) / 3);
    });
    expect(Buffer.compare(distancesTo(bitsOf(marks), limitPx, arena), wanted)).toBe(0);
  });

  it('is the limit where nothing is marked', () => {
    expect([...distancesTo(emptyBitmap({ width: 5, height: 1 }), 9, arena)]).toEqual([9, 9, 9, 9, 9]);
  });
});
