/**
 * Bitmaps: one bit a pixel, rows of whole 64-bit words, the first pixel of a row its lowest bit, no bit set beyond the
 * width. `row` is the length of a row in bytes.
 */

/**
 * Packs samples to bits: set where a sample, or 255 less the sample if `flip` is 255, is at least `least`. Reads up to 63
 * bytes beyond the last sample.
 */
export function packRows(from: usize, to: usize, width: i32, rows: i32, least: i32, flip: i32): void {
  const turn = i8x16.splat(<i8>flip);
  const bound = i8x16.splat(<i8>least);
  const inLast = width & 63;
  for (let y = 0; y < rows; y++) {
    const end = from + width;
    let at = from;
    for (; at + 64 <= end; at += 64, to += 8) store<u64>(to, packWord(at, turn, bound));
    if (inLast !== 0) {
      store<u64>(to, packWord(at, turn, bound) & (((<u64>1) << inLast) - 1));
      to += 8;
    }
    from = end;
  }
}

function packWord(at: usize, turn: v128, bound: v128): u64 {
  return (
    packVector(v128.load(at), turn, bound) |
    (packVector(v128.load(at, 16), turn, bound) << 16) |
    (packVector(v128.load(at, 32), turn, bound) << 32) |
    (packVector(v128.load(at, 48), turn, bound) << 48)
  );
}

function packVector(samples: v128, turn: v128, bound: v128): u64 {
  return <u64>i8x16.bitmask(i8x16.ge_u(v128.xor(samples, turn), bound));
}

/** Writes `level` for each set bit and 0 for the others; up to 15 bytes beyond the last sample. */
export function unpackRows(from: usize, row: i32, to: usize, width: i32, rows: i32, level: i32): void {
  const own = i8x16.splat(<i8>level);
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < width; x += 16) {
      v128.store(to + x, v128.and(spreadBits(load<u16>(from + (x >> 3))), own));
    }
    from += row;
    to += width;
  }
}

/** Sixteen bits as sixteen samples of 0 or 255. */
function spreadBits(bits: u16): v128 {
  const both = i8x16.shuffle(
    i16x8.splat(<i16>bits),
    i16x8.splat(0),
    0,
    0,
    0,
    0,
    0,
    0,
    0,
    0,
    1,
    1,
    1,
    1,
    1,
    1,
    1,
    1,
  );
  const own = i8x16(1, 2, 4, 8, 16, 32, 64, -128, 1, 2, 4, 8, 16, 32, 64, -128);
  return i8x16.eq(v128.and(both, own), own);
}

/** How many bits are set; `bytes` is a multiple of 8. */
export function countBits(from: usize, bytes: i32): i32 {
  let count: u64 = 0;
  for (const end = from + bytes; from < end; from += 8) count += popcnt(load<u64>(from));
  return <i32>count;
}

/**
 * The share of ink in squares of two by two pixels, 0 to 255, rounded: `rows` rows of `width` samples from twice as many
 * of each. Writes up to 31 bytes beyond the last sample.
 */
export function coverageOfHalves(from: usize, row: i32, to: usize, width: i32, rows: i32): void {
  const shares = i8x16(0, 64, -128, -65, -1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0);
  const nothing = i64x2.splat(0);
  const pairs: u64 = 0x5555555555555555;
  const fours: u64 = 0x3333333333333333;
  const nibbles: u64 = 0x0f0f0f0f0f0f0f0f;
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < width; x += 32) {
      const at = from + (x >> 2);
      let upper = load<u64>(at);
      let lower = load<u64>(at + row);
      if ((upper | lower) === 0) {
        v128.store(to + x, nothing);
        v128.store(to + x, nothing, 16);
        continue;
      }
      // Bits are added in pairs, then pairs of both rows; each sum (0 to 4) ends in a nibble, even and odd pixels apart.
      upper = (upper & pairs) + ((upper >> 1) & pairs);
      lower = (lower & pairs) + ((lower >> 1) & pairs);
      const even = (upper & fours) + (lower & fours);
      const odd = ((upper >> 2) & fours) + ((lower >> 2) & fours);
      const evens = i64x2.replace_lane(i64x2.splat(even & nibbles), 1, (even >> 4) & nibbles);
      const odds = i64x2.replace_lane(i64x2.splat(odd & nibbles), 1, (odd >> 4) & nibbles);
      const first = i8x16.shuffle(evens, odds, 0, 16, 8, 24, 1, 17, 9, 25, 2, 18, 10, 26, 3, 19, 11, 27);
      const second = i8x16.shuffle(evens, odds, 4, 20, 12, 28, 5, 21, 13, 29, 6, 22, 14, 30, 7, 23, 15, 31);
      v128.store(to + x, i8x16.swizzle(shares, first));
      v128.store(to + x, i8x16.swizzle(shares, second), 16);
    }
    from += 2 * row;
    to += width;
  }
}

/** Makes samples `level` wherever a bit is set; reads and writes back up to 15 bytes beyond the last sample. */
export function setRows(bits: usize, row: i32, samples: usize, width: i32, rows: i32, level: i32): void {
  const levels = i8x16.splat(<i8>level);
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < width; x += 16) {
      const set = load<u16>(bits + (x >> 3));
      if (set === 0) continue;
      const at = samples + x;
      v128.store(at, v128.bitselect(levels, v128.load(at), spreadBits(set)));
    }
    bits += row;
    samples += width;
  }
}

/**
 * Grows what is set (or, if `flip` is 1, what is not set) by a square of `distance` pixels on all sides, and
 * flips the result back. Nothing beyond the bitmap grows into it.
 *
 * What reaches 1, 2, 4 ... pixels is laid over itself, towards lower columns and rows; so the bitmap is first moved
 * `distance` into `spread`, at the start of which the result then lies. The cost hardly depends on the distance.
 * @param spread scratch of (rows + 2 x distance) rows of `spreadRow` bytes, which hold width + 2 x distance bits
 */
export function growBits(
  from: usize,
  row: i32,
  width: i32,
  rows: i32,
  distance: i32,
  flip: i32,
  spread: usize,
  spreadRow: i32,
  to: usize,
): void {
  const turn: u64 = -(<u64>flip);
  const spreadRows = rows + 2 * distance;
  const reach = 2 * distance + 1;
  const beyond = spreadRow * distance;
  memory.fill(spread, 0, beyond);
  memory.fill(spread + beyond + spreadRow * rows, 0, beyond);
  for (let y = 0; y < rows; y++) {
    const line = spread + beyond + y * spreadRow;
    moveRow(from + y * row, row, width, distance, turn, line, spreadRow);
    for (let covered = 1; covered < reach; ) {
      // The last step may overlap.
      const step = min(covered, reach - covered);
      mergeColumns(line, spreadRow, step);
      covered += step;
    }
  }
  for (let covered = 1; covered < reach; ) {
    const step = min(covered, reach - covered);
    mergeRows(spread, spreadRow, spreadRows, step);
    covered += step;
  }
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < row; x += 8) {
      store<u64>(to + y * row + x, (load<u64>(spread + y * spreadRow + x) ^ turn) & within(width, x));
    }
  }
}

/** The bits of the word at byte `x` of a row that are within its width. */
function within(width: i32, x: i32): u64 {
  const bits = width - x * 8;
  return bits >= 64 ? ~(<u64>0) : ((<u64>1) << bits) - 1;
}

function moveRow(from: usize, row: i32, width: i32, distance: i32, turn: u64, to: usize, toRow: i32): void {
  const whole = (distance >> 6) * 8;
  const bits = distance & 63;
  let before: u64 = 0;
  for (let x = 0; x < toRow; x += 8) {
    const source = x - whole;
    const word = source < 0 || source >= row ? 0 : (load<u64>(from + source) ^ turn) & within(width, source);
    store<u64>(to + x, bits === 0 ? word : (word << bits) | (before >> (64 - bits)));
    before = word;
  }
}

/** Bits that come in beyond the end of the row are 0: behind the row there have to be three words of these. */
function mergeColumns(line: usize, row: i32, step: i32): void {
  const end = line + row;
  const after = load<u64>(end);
  const afterNext = load<u64>(end, 8);
  store<u64>(end, 0);
  store<u64>(end, 0, 8);
  const whole = (step >> 6) * 8;
  const bits = step & 63;
  for (let at = line; at + whole < end; at += 16) {
    const near = v128.load(at + whole);
    // The words behind these two; a shift by 64 would be one by 0.
    const next = bits === 0 ? i64x2.splat(0) : i64x2.shl(v128.load(at + whole, 8), 64 - bits);
    v128.store(at, v128.or(v128.load(at), v128.or(i64x2.shr_u(near, bits), next)));
  }
  store<u64>(end, after);
  store<u64>(end, afterNext, 8);
}

function mergeRows(spread: usize, row: i32, rows: i32, step: i32): void {
  const shift = step * row;
  const end = spread + rows * row - shift;
  let at = spread;
  for (; at + 16 <= end; at += 16) v128.store(at, v128.or(v128.load(at), v128.load(at + shift)));
  if (at < end) store<u64>(at, load<u64>(at) | load<u64>(at + shift));
}
