/**
 * Halving a picture: every two pixels of a row, or every two rows, become the weighted sum of the twelve that lie around their
 * middle. Two samples that are weighed stand beside each other in a number of 32 bit, so that one instruction weighs four such
 * pairs.
 */

/** Bytes of two pixels, and of their three pairs. */
const twoPixels = 6;
const threePairs = 12;

/** Shares of a weighted sum: 4096ths, and half of one for rounding. */
const shareBits = 12;
const half = 1 << (shareBits - 1);

/**
 * Halves the width of interleaved pixels of three samples. Beyond its edges a row goes on as its first and last pixels are.
 * @param from rows of 2 x `width` pixels; read up to 15 bytes beyond the last
 * @param width pixels that a row has afterwards
 * @param to receives rows of `width` pixels, written up to 15 bytes beyond the last
 * @param weights twelve numbers of 16 bit that add up to 4096, from the leftmost pixel to the rightmost
 * @param pairs scratch for a row: 12 bytes for each of its pixels and 10 more
 */
export function halveAcross(
  from: usize,
  width: i32,
  rows: i32,
  to: usize,
  weights: usize,
  pairs: usize,
): void {
  const w0 = v128.load32_splat(weights);
  const w1 = v128.load32_splat(weights, 4);
  const w2 = v128.load32_splat(weights, 8);
  const w3 = v128.load32_splat(weights, 12);
  const w4 = v128.load32_splat(weights, 16);
  const w5 = v128.load32_splat(weights, 20);
  const samples = width * 3;
  for (let y = 0; y < rows; y++, from += width * twoPixels, to += samples) {
    pairUp(from, width, pairs);
    for (let at = 0; at < samples; at += 16) {
      const own = pairs + at * 4;
      const a = weighted(own, w0, w1, w2, w3, w4, w5);
      const b = weighted(own + 16, w0, w1, w2, w3, w4, w5);
      const c = weighted(own + 32, w0, w1, w2, w3, w4, w5);
      const d = weighted(own + 48, w0, w1, w2, w3, w4, w5);
      v128.store(to + at, i8x16.narrow_i16x8_u(i16x8.narrow_i32x4_s(a, b), i16x8.narrow_i32x4_s(c, d)));
    }
  }
}

/** The sums of four samples, of which each pair stands 12 bytes behind the one before. */
function weighted(pairs: usize, w0: v128, w1: v128, w2: v128, w3: v128, w4: v128, w5: v128): v128 {
  const first = i32x4.add(
    i32x4.add(i32x4.dot_i16x8_s(v128.load(pairs), w0), i32x4.dot_i16x8_s(v128.load(pairs, 12), w1)),
    i32x4.add(i32x4.dot_i16x8_s(v128.load(pairs, 24), w2), i32x4.dot_i16x8_s(v128.load(pairs, 36), w3)),
  );
  const last = i32x4.add(
    i32x4.dot_i16x8_s(v128.load(pairs, 48), w4),
    i32x4.dot_i16x8_s(v128.load(pairs, 60), w5),
  );
  return i32x4.shr_s(i32x4.add(i32x4.add(first, last), i32x4.splat(half)), shareBits);
}

/**
 * Stands the second pixel of each two beside the first of the next, sample by sample; three times the first pixel twice in
 * front of them, and three times the last one behind.
 */
function pairUp(from: usize, width: i32, pairs: usize): void {
  const last = from + width * twoPixels - 3;
  for (let i = 0; i < 3; i++) storePairs(from, from, pairs + i * threePairs);
  const zero = i8x16.splat(0);
  let at = pairs + 3 * threePairs;
  const end = pairs + (width + 2) * threePairs;
  for (let pixel = from + 3; at < end; at += 4 * threePairs, pixel += 4 * twoPixels) {
    const head = v128.load(pixel);
    const middle = v128.load(pixel, 4);
    const tail = v128.load(pixel, 8);
    v128.store(at, i8x16.shuffle(head, zero, 0, 16, 3, 16, 1, 16, 4, 16, 2, 16, 5, 16, 6, 16, 9, 16));
    v128.store(at, i8x16.shuffle(middle, zero, 3, 16, 6, 16, 4, 16, 7, 16, 8, 16, 11, 16, 9, 16, 12, 16), 16);
    v128.store(
      at,
      i8x16.shuffle(tail, zero, 6, 16, 9, 16, 10, 16, 13, 16, 11, 16, 14, 16, 12, 16, 15, 16),
      32,
    );
  }
  for (let i = 0; i < 3; i++) storePairs(last, last, end + i * threePairs);
}

function storePairs(first: usize, second: usize, to: usize): void {
  for (let sample = 0; sample < 3; sample++) {
    store<u16>(to + sample * 4, load<u8>(first + sample));
    store<u16>(to + sample * 4, load<u8>(second + sample), 2);
  }
}

/**
 * Halves the height of rows.
 * @param from the twelve rows of the first result; those of the next begin two rows below. Read up to 15 bytes beyond the last
 * @param row bytes from one row to the next
 * @param count bytes of each that are wanted
 * @param rows how many results
 * @param to receives rows of `count` bytes, written up to 15 bytes beyond the last
 * @param weights as for `halveAcross`, of which the last six are the first in turn
 */
export function halveDown(from: usize, row: usize, count: usize, rows: i32, to: usize, weights: usize): void {
  const w0 = v128.load32_splat(weights);
  const w1 = v128.load32_splat(weights, 4);
  const w2 = v128.load32_splat(weights, 8);
  for (let y = 0; y < rows; y++, from += 2 * row, to += count) {
    for (let at: usize = 0; at < count; at += 16) {
      const outer = from + at;
      const a = v128.load(outer);
      const b = v128.load(outer + row);
      const c = v128.load(outer + 2 * row);
      const d = v128.load(outer + 3 * row);
      const e = v128.load(outer + 4 * row);
      const f = v128.load(outer + 5 * row);
      const g = v128.load(outer + 6 * row);
      const h = v128.load(outer + 7 * row);
      const i = v128.load(outer + 8 * row);
      const j = v128.load(outer + 9 * row);
      const k = v128.load(outer + 10 * row);
      const l = v128.load(outer + 11 * row);
      const low = weighedDown(
        sumsLow(a, l),
        sumsLow(b, k),
        sumsLow(c, j),
        sumsLow(d, i),
        sumsLow(e, h),
        sumsLow(f, g),
        w0,
        w1,
        w2,
      );
      const high = weighedDown(
        sumsHigh(a, l),
        sumsHigh(b, k),
        sumsHigh(c, j),
        sumsHigh(d, i),
        sumsHigh(e, h),
        sumsHigh(f, g),
        w0,
        w1,
        w2,
      );
      v128.store(to + at, i8x16.narrow_i16x8_u(low, high));
    }
  }
}

/** Sums of the first eight samples of two rows that have one weight, and of the last eight. */
function sumsLow(one: v128, other: v128): v128 {
  return i16x8.add(i16x8.extend_low_i8x16_u(one), i16x8.extend_low_i8x16_u(other));
}

function sumsHigh(one: v128, other: v128): v128 {
  return i16x8.add(i16x8.extend_high_i8x16_u(one), i16x8.extend_high_i8x16_u(other));
}

/** Eight samples of 16 bit: the sums of six pairs of rows, weighed. */
function weighedDown(
  a: v128,
  b: v128,
  c: v128,
  d: v128,
  e: v128,
  f: v128,
  w0: v128,
  w1: v128,
  w2: v128,
): v128 {
  const first = i32x4.add(
    i32x4.add(i32x4.dot_i16x8_s(besideLow(a, b), w0), i32x4.dot_i16x8_s(besideLow(c, d), w1)),
    i32x4.dot_i16x8_s(besideLow(e, f), w2),
  );
  const last = i32x4.add(
    i32x4.add(i32x4.dot_i16x8_s(besideHigh(a, b), w0), i32x4.dot_i16x8_s(besideHigh(c, d), w1)),
    i32x4.dot_i16x8_s(besideHigh(e, f), w2),
  );
  const raised = i32x4.splat(half);
  return i16x8.narrow_i32x4_s(
    i32x4.shr_s(i32x4.add(first, raised), shareBits),
    i32x4.shr_s(i32x4.add(last, raised), shareBits),
  );
}

function besideLow(one: v128, other: v128): v128 {
  return i8x16.shuffle(one, other, 0, 1, 16, 17, 2, 3, 18, 19, 4, 5, 20, 21, 6, 7, 22, 23);
}

function besideHigh(one: v128, other: v128): v128 {
  return i8x16.shuffle(one, other, 8, 9, 24, 25, 10, 11, 26, 27, 12, 13, 28, 29, 14, 15, 30, 31);
}
