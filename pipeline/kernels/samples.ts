import { bandPixels, desk, inBands } from './desk.js';

/** Plain passes over 8-bit samples, for whichever stage needs them. */

/** The sum of all samples, exact. */
export function sumOf(samples: Uint8Array): number {
  const { kernels } = desk();
  const [place] = desk().lay(bandPixels);
  let sum = 0;
  inBands(samples.length, (start, count) => {
    desk().put(place, samples.subarray(start, start + count));
    sum += kernels.sumOf(place, count);
  });
  return sum;
}

/** Every sample taken from 255: paper becomes ink. */
export function inverted(samples: Uint8Array): Uint8Array {
  const { kernels } = desk();
  const [from, to] = desk().lay(bandPixels, bandPixels);
  const result = new Uint8Array(samples.length);
  inBands(samples.length, (start, count) => {
    desk().put(from, samples.subarray(start, start + count));
    kernels.invert(from, to, count);
    desk().take(to, result.subarray(start, start + count));
  });
  return result;
}

/** The largest sum of samples that stand at the same place in four planes of equal length, 0 to 1020. */
export function mostOfFour(planes: readonly [Uint8Array, Uint8Array, Uint8Array, Uint8Array]): number {
  const { kernels } = desk();
  const places = desk().lay(bandPixels, bandPixels, bandPixels, bandPixels);
  let most = 0;
  inBands(planes[0].length, (start, count) => {
    for (const [i, plane] of planes.entries()) desk().put(places[i], plane.subarray(start, start + count));
    most = Math.max(most, kernels.mostOfFour(places[0], places[1], places[2], places[3], count));
  });
  return most;
}
