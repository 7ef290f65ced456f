import FFT from 'fft.js';
import { expect, test } from 'vitest';
import { emptySpectrum, type Spectrum, transform, transformBack } from '../../pipeline/register/fft.js';
import { seeded } from '../helpers/rasters.js';

/**
 * The transform beside its definition, X(u, v) = sum of x(s, t) exp(-2 pi i (us / W + vt / H)), summed term by term, and beside the
 * package fft.js 4.0.4 (MIT), a radix-4 transform by another author.
 */

function random(width: number, height: number, seed: number): Spectrum {
  const spectrum = emptySpectrum(width, height);
  const next = seeded(seed);
  for (let i = 0; i < width * height; i++) {
    spectrum.re[i] = next() - 0.5;
    spectrum.im[i] = next() - 0.5;
  }
  return spectrum;
}

function byDefinition({ width, height, re, im }: Spectrum, u: number, v: number): [number, number] {
  let [sumRe, sumIm] = [0, 0];
  for (let t = 0; t < height; t++) {
    for (let s = 0; s < width; s++) {
      const turn = -2 * Math.PI * ((u * s) / width + (v * t) / height);
      const at = t * width + s;
      sumRe += re[at] * Math.cos(turn) - im[at] * Math.sin(turn);
      sumIm += re[at] * Math.sin(turn) + im[at] * Math.cos(turn);
    }
  }
  return [sumRe, sumIm];
}

test('every number of a transform is the sum that the definition says', () => {
  const [width, height] = [16, 8];
  const picture = random(width, height, 1);
  const expected = Array.from({ length: width * height }, (_, at) =>
    byDefinition(picture, at % width, Math.floor(at / width)),
  );
  transform(picture);
  for (const [at, [re, im]] of expected.entries()) {
    expect(picture.re[at]).toBeCloseTo(re, 10);
    expect(picture.im[at]).toBeCloseTo(im, 10);
  }
});

/** Rows and then columns through the other library. */
function byLibrary({ width, height, re, im }: Spectrum): Float64Array[] {
  const rows = Array.from({ length: height }, (_, y) =>
    along(new FFT(width), (x) => [re[y * width + x], im[y * width + x]]),
  );
  const columns = Array.from({ length: width }, (_, x) =>
    along(new FFT(height), (y) => [rows[y][2 * x], rows[y][2 * x + 1]]),
  );
  return columns;
}

function along(fft: FFT, value: (i: number) => [number, number]): Float64Array {
  const input = Float64Array.from({ length: 2 * fft.size }, (_, i) => value(i >> 1)[i & 1]);
  const output = new Float64Array(2 * fft.size);
  fft.transform(output, input);
  return output;
}

test('a transform of the size of a window is what another library makes of it', () => {
  const picture = random(128, 128, 2);
  const columns = byLibrary(picture);
  transform(picture);
  let most = 0;
  for (let y = 0; y < 128; y++) {
    for (let x = 0; x < 128; x++) {
      most = Math.max(most, Math.abs(picture.re[y * 128 + x] - columns[x][2 * y]));
      most = Math.max(most, Math.abs(picture.im[y * 128 + x] - columns[x][2 * y + 1]));
    }
  }
  expect(most).toBeLessThan(1e-9);
});

test('transformed and transformed back, a picture is what it was', () => {
  const picture = random(64, 32, 3);
  const before = { re: picture.re.slice(), im: picture.im.slice() };
  transform(picture);
  transformBack(picture);
  for (let i = 0; i < before.re.length; i++) {
    expect(Math.abs(picture.re[i] - before.re[i])).toBeLessThan(1e-12);
    expect(Math.abs(picture.im[i] - before.im[i])).toBeLessThan(1e-12);
  }
});
