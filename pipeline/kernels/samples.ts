import type { KernelMemory } from './kernel-memory.js';
import { bandPixels, inBands } from './kernel-memory.js';
import type { PageArena } from './page-arena.js';

/** Plain passes over 8-bit samples, for whichever stage needs them. */

/** The sum of all samples, exact. */
export function sumOf(samples: Uint8Array, memory: KernelMemory): number {
  const [place] = memory.scratch(bandPixels);
  let sum = 0;
  inBands(samples.length, (start, count) => {
    sum += memory.kernels.sumOf(memory.addressOf(samples.subarray(start, start + count), place), count);
  });
  return sum;
}

/** Every sample taken from 255: paper becomes ink. */
export function inverted(samples: Uint8Array, arena: PageArena): Uint8Array {
  return invertInto(arena.allocate(samples.length), samples, arena);
}

/**
 * As `inverted`.
 * @param result receives them; may be the samples themselves
 */
export function invertInto(result: Uint8Array, samples: Uint8Array, memory: KernelMemory): Uint8Array {
  const [from, to] = memory.scratch(bandPixels, bandPixels);
  inBands(samples.length, (start, count) => {
    const into = result.subarray(start, start + count);
    const at = memory.writableAddress(into, to);
    memory.kernels.invert(memory.addressOf(samples.subarray(start, start + count), from), at, count);
    memory.store(at, into);
  });
  return result;
}

/** The largest sum of samples that stand at the same place in four planes of equal length, 0 to 1020. */
export function mostOfFour(
  planes: readonly [Uint8Array, Uint8Array, Uint8Array, Uint8Array],
  memory: KernelMemory,
): number {
  const places = memory.scratch(bandPixels, bandPixels, bandPixels, bandPixels);
  let most = 0;
  inBands(planes[0].length, (start, count) => {
    const [a, b, c, d] = planes.map((plane, i) =>
      memory.addressOf(plane.subarray(start, start + count), places[i]),
    );
    most = Math.max(most, memory.kernels.mostOfFour(a, b, c, d, count));
  });
  return most;
}
