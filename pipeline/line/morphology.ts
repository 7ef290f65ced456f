/**
 * Growing and shrinking of masks by a square, in two passes of running counts: the cost does not depend on the
 * distance. Masks are width x height x 1; anything nonzero is set. Results hold 0 and 255.
 */

/**
 * Shrinks a mask by `distancePx` on all sides. What runs off the page counts as going on beyond it, so a black that
 * bleeds is not pulled back from the edge of the page.
 */
export function shrink(mask: Uint8Array, width: number, height: number, distancePx: number): Uint8Array {
  return sweep(mask, width, height, distancePx, false);
}

/** Grows a mask by `distancePx` on all sides. */
export function grow(mask: Uint8Array, width: number, height: number, distancePx: number): Uint8Array {
  return sweep(mask, width, height, distancePx, true);
}

/** Growing is shrinking what is not set: both count how long a run has lasted and look `distance` pixels behind it. */
function sweep(
  mask: Uint8Array,
  width: number,
  height: number,
  distance: number,
  growing: boolean,
): Uint8Array {
  const rowwise = new Uint8Array(mask.length);
  const keep = 2 * distance + 1;
  for (let y = 0; y < height; y++) sweepRow(mask, rowwise, y * width, width, distance, growing);
  const result = new Uint8Array(mask.length);
  const runs = new Int32Array(width).fill(keep);
  for (let y = 0; y < height + distance; y++) {
    const row = y * width;
    const out = row - distance * width;
    for (let x = 0; x < width; x++) {
      const inRun = y >= height || (rowwise[row + x] !== 0) !== growing;
      runs[x] = inRun ? runs[x] + 1 : 0;
      if (out >= 0) result[out + x] = runs[x] >= keep !== growing ? 255 : 0;
    }
  }
  return result;
}

function sweepRow(
  mask: Uint8Array,
  result: Uint8Array,
  start: number,
  width: number,
  distance: number,
  growing: boolean,
): void {
  const keep = 2 * distance + 1;
  let run = keep;
  for (let x = 0; x < width + distance; x++) {
    const inRun = x >= width || (mask[start + x] !== 0) !== growing;
    run = inRun ? run + 1 : 0;
    if (x >= distance) result[start + x - distance] = run >= keep !== growing ? 255 : 0;
  }
}
