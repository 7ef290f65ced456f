/** Passes are done in bands of pixels that fit into the processor's cache. */

/** Pixels worked on at a time: enough that a call costs nothing beside them. A multiple of every vector's length. */
export const bandPixels = 1 << 17;

/** As many as stay in the processor's cache with all that is made of them, and as 16 bit can count. */
export const smallBandPixels = 1 << 15;

/** Calls `work` for one band after the other of so many pixels. */
export function inBands(
  pixels: number,
  work: (start: number, count: number) => void,
  most: number = bandPixels,
): void {
  for (let start = 0; start < pixels; start += most) work(start, Math.min(most, pixels - start));
}

/**
 * Whether it pays to look up one pixel of each run of one colour only: where no more than three quarters of the pixels
 * begin a run. Finding the runs costs some 2 ns a pixel, looking one up 5 to 8.
 */
export function isWorthwhile(runs: number, pixels: number): boolean {
  return runs <= pixels * 0.75;
}
