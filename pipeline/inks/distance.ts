import type { SizePx } from '../../config/units.js';

/**
 * How far each pixel is from the nearest marked one, in whole pixels up to a limit: the chamfer distance of steps 3 and 4
 * (Borgefors, Distance transformations in digital images, 1986), a third of it, which misses the straight line by at most 8 %.
 */

const straight = 3;
const diagonal = 4;

/**
 * @param marks width x height, 0 or not
 * @param limitPx distances beyond it are given as the limit; at most 84
 * @returns width x height distances, in pixels, rounded down
 */
export function distancesTo(marks: Uint8Array, { width, height }: SizePx, limitPx: number): Uint8Array {
  const limit = Math.min(limitPx, mostPx) * straight;
  const thirds = new Uint8Array(marks.length).fill(limit);
  const rows = markedRows(marks, width, height);
  const reach = Math.min(limitPx, mostPx);
  const [top, bottom] = [Math.max(0, rows.top - reach), Math.min(height, rows.bottom + reach)];
  for (let i = top * width; i < bottom * width; i++) if (marks[i] !== 0) thirds[i] = 0;
  for (let y = top; y < bottom; y++) forward(thirds, y, width, y > top, limit);
  for (let y = bottom - 1; y >= top; y--) backward(thirds, y, width, y + 1 < bottom, limit);
  for (let i = 0; i < thirds.length; i++) thirds[i] = (thirds[i] / straight) | 0;
  return thirds;
}

/** The largest limit: three times as much is kept in a byte. */
export const mostPx = 84;

function markedRows(marks: Uint8Array, width: number, height: number) {
  const first = marks.findIndex((mark) => mark !== 0);
  if (first < 0) return { top: height, bottom: height };
  return {
    top: Math.floor(first / width),
    bottom: Math.floor(marks.findLastIndex((mark) => mark !== 0) / width) + 1,
  };
}

/** From above and from the left. */
function forward(thirds: Uint8Array, y: number, width: number, hasAbove: boolean, limit: number): void {
  const row = y * width;
  for (let x = 0; x < width; x++) {
    const i = row + x;
    let least = thirds[i];
    if (least === 0) continue;
    if (x > 0) least = Math.min(least, thirds[i - 1] + straight);
    if (hasAbove) {
      const above = i - width;
      least = Math.min(least, thirds[above] + straight);
      if (x > 0) least = Math.min(least, thirds[above - 1] + diagonal);
      if (x < width - 1) least = Math.min(least, thirds[above + 1] + diagonal);
    }
    thirds[i] = Math.min(least, limit);
  }
}

/** From below and from the right. */
function backward(thirds: Uint8Array, y: number, width: number, hasBelow: boolean, limit: number): void {
  const row = y * width;
  for (let x = width - 1; x >= 0; x--) {
    const i = row + x;
    let least = thirds[i];
    if (least === 0) continue;
    if (x < width - 1) least = Math.min(least, thirds[i + 1] + straight);
    if (hasBelow) {
      const below = i + width;
      least = Math.min(least, thirds[below] + straight);
      if (x < width - 1) least = Math.min(least, thirds[below + 1] + diagonal);
      if (x > 0) least = Math.min(least, thirds[below - 1] + diagonal);
    }
    thirds[i] = Math.min(least, limit);
  }
}
