import type { SizePx } from '../../config/units.js';

/**
 * Marks widened to a square around each.
 * @param marks a byte a pixel, 1 where it is marked
 * @param reachPx pixels to each side
 * @returns 1 where a mark lies as near as that
 */
export function nearMarks(marks: Uint8Array, { width, height }: SizePx, reachPx: number): Uint8Array {
  const across = new Uint8Array(marks.length);
  for (let row = 0; row < marks.length; row += width) {
    widenRow(marks.subarray(row, row + width), across.subarray(row, row + width), reachPx);
  }
  const near = new Uint8Array(marks.length);
  const rows = Array.from({ length: height }, (_, y) => y);
  widenDown(across, near, width, reachPx, rows);
  widenDown(across, near, width, reachPx, rows.reverse());
  return near;
}

function widenRow(from: Uint8Array, to: Uint8Array, reachPx: number): void {
  for (let x = from.indexOf(1); x >= 0; x = from.indexOf(1, x + 1)) {
    to.fill(1, Math.max(0, x - reachPx), x + reachPx + 1);
  }
}

/** From row to row, in the order given: a mark holds for the next rows. */
function widenDown(
  from: Uint8Array,
  to: Uint8Array,
  width: number,
  reachPx: number,
  rows: readonly number[],
): void {
  const left = new Int32Array(width);
  // Rows for which a mark still holds anywhere.
  let most = 0;
  for (const y of rows) {
    const own = from.subarray(y * width, (y + 1) * width);
    if (own.includes(1)) most = reachPx + 1;
    if (most === 0) continue;
    most--;
    for (let x = 0; x < width; x++) {
      if (own[x] === 1) left[x] = reachPx + 1;
      if (left[x] === 0) continue;
      left[x]--;
      to[y * width + x] = 1;
    }
  }
}
