import { bandPixels, desk, inBands } from './page-arena.js';

/** Plain passes over 8-bit samples, for whichever stage needs them. */

/** The sum of all samples, exact. */
export function sumOf(samples: Uint8Array): number {
  const on = desk();
  const [place] = on.lay(bandPixels);
  let sum = 0;
  inBands(samples.length, (start, count) => {
    sum += on.kernels.sumOf(on.reach(samples.subarray(start, start + count), place), count);
  });
  return sum;
}

/**
 * Every sample taken from 255: paper becomes ink.
 * @param result receives them; may be the samples themselves
 */
export function inverted(samples: Uint8Array, result = desk().hold(samples.length)): Uint8Array {
  const on = desk();
  const [from, to] = on.lay(bandPixels, bandPixels);
  inBands(samples.length, (start, count) => {
    const into = result.subarray(start, start + count);
    const at = on.target(into, to);
    on.kernels.invert(on.reach(samples.subarray(start, start + count), from), at, count);
    on.take(at, into);
  });
  return result;
}

/** The largest sum of samples that stand at the same place in four planes of equal length, 0 to 1020. */
export function mostOfFour(planes: readonly [Uint8Array, Uint8Array, Uint8Array, Uint8Array]): number {
  const on = desk();
  const places = on.lay(bandPixels, bandPixels, bandPixels, bandPixels);
  let most = 0;
  inBands(planes[0].length, (start, count) => {
    const [a, b, c, d] = planes.map((plane, i) => on.reach(plane.subarray(start, start + count), places[i]));
    most = Math.max(most, on.kernels.mostOfFour(a, b, c, d, count));
  });
  return most;
}
