/**
 * Undoing the filters of PNG rows (PNG, third edition, 9.2): each byte was stored as its difference from what its neighbours
 * foretell. A vector holds one pixel where a pixel needs the one before it, and sixteen bytes where it does not.
 */

const noFilter: u8 = 0;
const subFilter: u8 = 1;
const upFilter: u8 = 2;
const averageFilter: u8 = 3;
const paethFilter: u8 = 4;

/**
 * Undoes the filters of some rows.
 * @param from rows as they were packed: a byte that names the filter, then `rowBytes` samples; read up to 15 bytes beyond the last
 * @param pixelBytes 1 to 4
 * @param above the row above the first, zeros where there is none
 * @param to receives rows of `rowBytes` samples, written up to 15 bytes beyond each
 * @returns whether all filters are known; what was written after one that is not means nothing
 */
export function unfilterRows(
  from: usize,
  rowBytes: i32,
  rows: i32,
  pixelBytes: i32,
  above: usize,
  to: usize,
): bool {
  for (let y = 0; y < rows; y++) {
    const filter = load<u8>(from++);
    if (filter === noFilter) memory.copy(to, from, rowBytes);
    else if (filter === upFilter) addAbove(from, rowBytes, above, to);
    else if (filter === subFilter) addBefore(from, rowBytes, pixelBytes, to);
    else if (filter === averageFilter) addAverage(from, rowBytes, pixelBytes, above, to);
    else if (filter === paethFilter) addPaeth(from, rowBytes, pixelBytes, above, to);
    else return false;
    above = to;
    from += rowBytes;
    to += rowBytes;
  }
  return true;
}

function addAbove(from: usize, rowBytes: i32, above: usize, to: usize): void {
  for (let at: usize = 0; at < <usize>rowBytes; at += 16)
    v128.store(to + at, i8x16.add(v128.load(from + at), v128.load(above + at)));
}

function addBefore(from: usize, rowBytes: i32, pixelBytes: i32, to: usize): void {
  let before = i8x16.splat(0);
  for (let at: usize = 0; at < <usize>rowBytes; at += pixelBytes) {
    before = i8x16.add(before, v128.load32_zero(from + at));
    v128.store32_lane(to + at, before, 0);
  }
}

/** The mean of the pixel before and the one above, rounded down. */
function addAverage(from: usize, rowBytes: i32, pixelBytes: i32, above: usize, to: usize): void {
  let before = i8x16.splat(0);
  for (let at: usize = 0; at < <usize>rowBytes; at += pixelBytes) {
    const up = v128.load32_zero(above + at);
    const odd = v128.and(v128.xor(before, up), i8x16.splat(1));
    const mean = i8x16.sub(i8x16.avgr_u(before, up), odd);
    before = i8x16.add(mean, v128.load32_zero(from + at));
    v128.store32_lane(to + at, before, 0);
  }
}

/** Whichever of the pixel before (a), the one above (b) and the one above that before (c) is nearest to a + b - c. */
function addPaeth(from: usize, rowBytes: i32, pixelBytes: i32, above: usize, to: usize): void {
  let a = i16x8.splat(0);
  let c = i16x8.splat(0);
  for (let at: usize = 0; at < <usize>rowBytes; at += pixelBytes) {
    const b = i16x8.extend_low_i8x16_u(v128.load32_zero(above + at));
    const fromA = i16x8.sub(b, c);
    const fromB = i16x8.sub(a, c);
    const farA = i16x8.abs(fromA);
    const farB = i16x8.abs(fromB);
    const farC = i16x8.abs(i16x8.add(fromA, fromB));
    const least = i16x8.min_s(i16x8.min_s(farA, farB), farC);
    const nearest = v128.bitselect(a, v128.bitselect(b, c, i16x8.eq(farB, least)), i16x8.eq(farA, least));
    const stored = i16x8.extend_low_i8x16_u(v128.load32_zero(from + at));
    a = v128.and(i16x8.add(nearest, stored), i16x8.splat(255));
    c = b;
    v128.store32_lane(to + at, i8x16.narrow_i16x8_u(a, a), 0);
  }
}
