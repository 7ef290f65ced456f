/**
 * The discrete Fourier transform of pictures whose sides are powers of two: X(u, v) = sum of x(s, t) exp(-2 pi i (us / W + vt / H)).
 * Radix 2, decimation in time (Cooley and Tukey 1965), written so that the inner loops run along rows.
 */

/** A picture of complex numbers, row by row. */
export interface Spectrum {
  /** A power of two. */
  readonly width: number;
  /** A power of two. */
  readonly height: number;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** A spectrum of zeros. */
export function emptySpectrum(width: number, height: number): Spectrum {
  const pixels = width * height;
  return { width, height, re: new Float64Array(pixels), im: new Float64Array(pixels) };
}

/** What a transform of one length needs to know: worked out once and kept, there are only a few lengths. */
interface Plan {
  /** Where each number goes before the first pass: its index with the bits turned round. */
  readonly order: Uint16Array;
  /** cos and -sin of 2 pi k / length, for the first half of the circle. */
  readonly cos: Float64Array;
  readonly sin: Float64Array;
}

const plans = new Map<number, Plan>();

function planOf(length: number): Plan {
  const known = plans.get(length);
  if (known !== undefined) return known;
  const bits = Math.log2(length);
  if (!Number.isInteger(bits)) throw new RangeError(`${length} is no power of two`);
  const order = new Uint16Array(length);
  for (let i = 1; i < length; i++) order[i] = (order[i >> 1] >> 1) | ((i & 1) << (bits - 1));
  const turn = (k: number) => (-2 * Math.PI * k) / length;
  const cos = Float64Array.from({ length: length >> 1 }, (_, k) => Math.cos(turn(k)));
  const sin = Float64Array.from({ length: length >> 1 }, (_, k) => Math.sin(turn(k)));
  const plan = { order, cos, sin };
  plans.set(length, plan);
  return plan;
}

/**
 * Transforms in place.
 * @param band columns beyond this frequency are left unfinished, where nobody asks for them; by default none are
 */
export function transform(spectrum: Spectrum, band: number = spectrum.width): void {
  for (let y = 0; y < spectrum.height; y++) transformRow(spectrum, y * spectrum.width);
  transformColumns(spectrum, band);
}

/**
 * Transforms back in place, so that `transform` and this leave the numbers as they were.
 * @param band columns beyond this frequency are nought
 * @param reach rows farther than this from the first, either way round, are left unfinished; by default none are
 */
export function transformBack(
  spectrum: Spectrum,
  band: number = spectrum.width,
  reach: number = spectrum.height,
): void {
  // The inverse is the transform with real and imaginary parts exchanged.
  const { width, height, re, im } = spectrum;
  const exchanged = { width, height, re: im, im: re };
  transformColumns(exchanged, band);
  const pixels = width * height;
  for (let y = 0; y < height; y++) {
    if (Math.min(y, height - y) > reach) continue;
    transformRow(exchanged, y * width);
    for (let at = y * width; at < (y + 1) * width; at++) {
      re[at] /= pixels;
      im[at] /= pixels;
    }
  }
}

function transformRow({ width, re, im }: Spectrum, start: number): void {
  const { order, cos, sin } = planOf(width);
  for (let x = 0; x < width; x++) if (order[x] > x) exchange(re, im, start + x, start + order[x]);
  for (let half = 1, step = width >> 1; half < width; half *= 2, step >>= 1) {
    for (let first = start; first < start + width; first += 2 * half) {
      for (let k = 0; k < half; k++) {
        const one = first + k;
        const other = one + half;
        const c = cos[k * step];
        const s = sin[k * step];
        const turnedRe = re[other] * c - im[other] * s;
        const turnedIm = re[other] * s + im[other] * c;
        re[other] = re[one] - turnedRe;
        im[other] = im[one] - turnedIm;
        re[one] += turnedRe;
        im[one] += turnedIm;
      }
    }
  }
}

/** All columns at once: what happens to two numbers of a column happens to two rows. */
function transformColumns({ width, height, re, im }: Spectrum, band: number): void {
  const { order, cos, sin } = planOf(height);
  for (let y = 0; y < height; y++) {
    if (order[y] <= y) continue;
    for (let x = 0; x < width; x++) exchange(re, im, y * width + x, order[y] * width + x);
  }
  // The first columns are the low frequencies, the last ones those that run the other way.
  const low = Math.min(width, band + 1);
  const high = Math.min(width - low, band);
  for (let half = 1, step = height >> 1; half < height; half *= 2, step >>= 1) {
    for (let first = 0; first < height; first += 2 * half) {
      for (let k = 0; k < half; k++) {
        const start = (first + k) * width;
        turnRows(re, im, start, half * width, low, cos[k * step], sin[k * step]);
        turnRows(re, im, start + width - high, half * width, high, cos[k * step], sin[k * step]);
      }
    }
  }
}

function turnRows(
  re: Float64Array,
  im: Float64Array,
  start: number,
  apart: number,
  width: number,
  c: number,
  s: number,
): void {
  for (let one = start; one < start + width; one++) {
    const other = one + apart;
    const turnedRe = re[other] * c - im[other] * s;
    const turnedIm = re[other] * s + im[other] * c;
    re[other] = re[one] - turnedRe;
    im[other] = im[one] - turnedIm;
    re[one] += turnedRe;
    im[one] += turnedIm;
  }
}

function exchange(re: Float64Array, im: Float64Array, one: number, other: number): void {
  const keptRe = re[one];
  const keptIm = im[one];
  re[one] = re[other];
  im[one] = im[other];
  re[other] = keptRe;
  im[other] = keptIm;
}
