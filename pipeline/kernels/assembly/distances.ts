/**
 * Distances from marked pixels, in bytes: 0 where marked, at first the limit elsewhere. Two lengths of steps make the distance: 3 and
 * 4 a chamfer distance in thirds of a pixel, 1 and 2 that of a city's blocks. Rows are swept one way and then the other; beside the
 * page nothing is marked. What these functions do row by row goes on over any number of calls, if the row that was swept last stands
 * before those that follow.
 */

/** From above and from the left. @param hasAbove whether the row above the first one is there, swept already: 0 or 1 */
export function sweepDown(
  distances: usize,
  width: i32,
  rows: i32,
  hasAbove: i32,
  limit: i32,
  straight: i32,
  diagonal: i32,
): void {
  for (let y = 0; y < rows; y++) {
    const row = distances + y * width;
    if (y > 0 || hasAbove !== 0) stepAcross(row, row - width, width, straight, diagonal);
    let before = limit;
    for (let x = 0; x < width; x++) {
      if (before === limit && isAll(row + x, limit, width - x)) {
        x += 15;
        continue;
      }
      before = min(<i32>load<u8>(row + x), before + straight);
      store<u8>(row + x, <u8>before);
    }
  }
}

/** From below and from the right, the last row first. @param hasBelow as `hasAbove`, of the row below the last one */
export function sweepUp(
  distances: usize,
  width: i32,
  rows: i32,
  hasBelow: i32,
  limit: i32,
  straight: i32,
  diagonal: i32,
): void {
  for (let y = rows - 1; y >= 0; y--) {
    const row = distances + y * width;
    if (y < rows - 1 || hasBelow !== 0) stepAcross(row, row + width, width, straight, diagonal);
    let before = limit;
    for (let x = width - 1; x >= 0; x--) {
      if (before === limit && isAll(row + x - 15, limit, x + 1)) {
        x -= 15;
        continue;
      }
      before = min(<i32>load<u8>(row + x), before + straight);
      store<u8>(row + x, <u8>before);
    }
  }
}

/** Whether sixteen bytes have a value; false where fewer are left. */
function isAll(at: usize, value: i32, left: i32): bool {
  return left >= 16 && i8x16.all_true(i8x16.eq(v128.load(at), i8x16.splat(<i8>value)));
}

/** The step from a row to the one beside it: straight, or diagonal from either side. */
function stepAcross(row: usize, beside: usize, width: i32, straight: i32, diagonal: i32): void {
  stepAt(row, beside, 0, width, straight, diagonal);
  let x = 1;
  for (; x + 17 <= width; x += 16) {
    const at = beside + x;
    const ahead = i8x16.add_sat_u(v128.load(at), i8x16.splat(<i8>straight));
    const corners = i8x16.min_u(v128.load(at - 1), v128.load(at + 1));
    const near = i8x16.min_u(ahead, i8x16.add_sat_u(corners, i8x16.splat(<i8>diagonal)));
    v128.store(row + x, i8x16.min_u(v128.load(row + x), near));
  }
  for (; x < width; x++) stepAt(row, beside, x, width, straight, diagonal);
}

function stepAt(row: usize, beside: usize, x: i32, width: i32, straight: i32, diagonal: i32): void {
  let least = min(<i32>load<u8>(row + x), <i32>load<u8>(beside + x) + straight);
  if (x > 0) least = min(least, <i32>load<u8>(beside + x - 1) + diagonal);
  if (x < width - 1) least = min(least, <i32>load<u8>(beside + x + 1) + diagonal);
  store<u8>(row + x, <u8>least);
}

/** Thirds as whole pixels, rounded down, in place; works on up to 15 bytes beyond the last one. */
export function wholeThirds(thirds: usize, count: i32): void {
  const factor = i16x8.splat(171);
  for (let i = 0; i < count; i += 16) {
    // Times 171 and a 512th of it is a third, rounded down, of every byte.
    const samples = v128.load(thirds + i);
    const low = i16x8.shr_u(i16x8.mul(i16x8.extend_low_i8x16_u(samples), factor), 9);
    const high = i16x8.shr_u(i16x8.mul(i16x8.extend_high_i8x16_u(samples), factor), 9);
    v128.store(thirds + i, i8x16.narrow_i16x8_u(low, high));
  }
}
