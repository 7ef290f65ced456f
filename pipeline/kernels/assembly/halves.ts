/**
 * Halving the width of a picture of three samples: every pixel becomes the weighted sum of the twelve that lie around its
 * middle. Two neighbours of one sample stand beside each other in a number of 32 bit, so that one instruction weighs four
 * such pairs.
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
