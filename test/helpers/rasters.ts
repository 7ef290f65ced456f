import type { Bitmap, ColourModel, Plate, Raster } from '../../pipeline/model/raster.js';

/** A picture whose samples a function gives, 8 bit. */
export function drawn(
  width: number,
  height: number,
  model: ColourModel,
  sample: (x: number, y: number) => readonly number[],
): Raster {
  const channels = { grey: 1, rgb: 3, cmyk: 4 }[model];
  const first = sample(0, 0);
  const data = new Uint8Array(width * height * first.length);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++) for (const value of sample(x, y)) data[i++] = value;
  }
  return { width, height, model, alpha: first.length > channels, data };
}

/** A plate whose ink a function gives. */
export function plateOf(width: number, height: number, ink: (x: number, y: number) => number): Plate {
  return { width, height, data: drawn(width, height, 'grey', (x, y) => [ink(x, y)]).data as Uint8Array };
}

/** A bitmap of the samples that are 128 or more, bit by bit. */
export function bitsOf({ width, height, data }: Plate): Bitmap {
  const rowBytes = Math.ceil(width / 64) * 8;
  const bits = new Uint8Array(rowBytes * height);
  for (let i = 0; i < data.length; i++) {
    const [x, y] = [i % width, Math.floor(i / width)];
    if (data[i] >= 128) bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
  }
  return { width, height, rowBytes, bits };
}

/** The samples of a bitmap, 0 and 255, bit by bit. */
export function plateOfBits({ width, height, rowBytes, bits }: Bitmap): Plate {
  const set = (x: number, y: number) => (bits[y * rowBytes + (x >> 3)] >> (x & 7)) & 1;
  return plateOf(width, height, (x, y) => 255 * set(x, y));
}

/** The samples of one pixel. */
export function pixelAt(raster: Raster, x: number, y: number): number[] {
  const channels = raster.data.length / (raster.width * raster.height);
  const start = (y * raster.width + x) * channels;
  return [...raster.data.slice(start, start + channels)];
}

/** Names the first pixel in which two pictures differ by more than the tolerance; undefined when none does. */
export function firstDifference(
  one: { width: number; data: ArrayLike<number> },
  other: { width: number; data: ArrayLike<number> },
  tolerance = 0,
): string | undefined {
  if (one.width !== other.width || one.data.length !== other.data.length) return 'different sizes';
  for (let i = 0; i < one.data.length; i++) {
    if (Math.abs(one.data[i] - other.data[i]) > tolerance) {
      return `sample ${i}: ${one.data[i]} against ${other.data[i]}`;
    }
  }
  return undefined;
}

/** Numbers that look random and are the same on every run (mulberry32, public domain algorithm). */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
