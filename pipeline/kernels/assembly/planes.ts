/**
 * Passes over 8-bit samples, sixteen pixels at a time. The last vector may reach up to 15 pixels beyond the last one: these
 * are worked on as well, so there has to be memory for them, but they never count in a sum or a maximum.
 */

/** The first `count` samples of a vector, or all of it; 0 instead of the others. */
function firstOf(samples: v128, count: i32): v128 {
  if (count >= 16) return samples;
  const places = i8x16(0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15);
  return v128.and(samples, i8x16.lt_u(places, i8x16.splat(<i8>count)));
}

/** 255 less each sample. */
export function invert(from: usize, to: usize, count: i32): void {
  for (let i = 0; i < count; i += 16) v128.store(to + i, v128.not(v128.load(from + i)));
}

/** The sum of all samples. */
export function sumOf(from: usize, count: i32): f64 {
  let sums = i32x4.splat(0);
  for (let i = 0; i < count; i += 16) {
    sums = i32x4.add(sums, sumInFours(firstOf(v128.load(from + i), count - i)));
  }
  return (
    <f64>i32x4.extract_lane(sums, 0) +
    <f64>i32x4.extract_lane(sums, 1) +
    <f64>i32x4.extract_lane(sums, 2) +
    <f64>i32x4.extract_lane(sums, 3)
  );
}

/** The sums of four neighbours each. */
export function sumInFours(samples: v128): v128 {
  return i32x4.extadd_pairwise_i16x8_u(i16x8.extadd_pairwise_i8x16_u(samples));
}

/** The largest sum of four samples at the same place of four planes. */
export function mostOfFour(c: usize, m: usize, y: usize, k: usize, count: i32): i32 {
  let most = i16x8.splat(0);
  for (let i = 0; i < count; i += 16) {
    const a = firstOf(v128.load(c + i), count - i);
    const b = firstOf(v128.load(m + i), count - i);
    const d = firstOf(v128.load(y + i), count - i);
    const e = firstOf(v128.load(k + i), count - i);
    most = i16x8.max_u(most, i16x8.add(addLow(a, b), addLow(d, e)));
    most = i16x8.max_u(most, i16x8.add(addHigh(a, b), addHigh(d, e)));
  }
  return mostOfEight(most);
}

function addLow(a: v128, b: v128): v128 {
  return i16x8.add(i16x8.extend_low_i8x16_u(a), i16x8.extend_low_i8x16_u(b));
}

function addHigh(a: v128, b: v128): v128 {
  return i16x8.add(i16x8.extend_high_i8x16_u(a), i16x8.extend_high_i8x16_u(b));
}

function mostOfEight(lanes: v128): i32 {
  const four = i32x4.max_u(i32x4.extend_low_i16x8_u(lanes), i32x4.extend_high_i16x8_u(lanes));
  return mostOfInts(four);
}

export function mostOfInts(lanes: v128): i32 {
  const first = max(i32x4.extract_lane(lanes, 0), i32x4.extract_lane(lanes, 1));
  return max(first, max(i32x4.extract_lane(lanes, 2), i32x4.extract_lane(lanes, 3)));
}

/** Splits interleaved pixels of four samples into planes. */
export function splitFour(from: usize, count: i32, c: usize, m: usize, y: usize, k: usize): void {
  for (let i = 0; i < count; i += 16, from += 64) {
    const v0 = v128.load(from);
    const v1 = v128.load(from, 16);
    const v2 = v128.load(from, 32);
    const v3 = v128.load(from, 48);
    // Eight pixels' first samples and their second ones, then their third and fourth ones.
    const cm0 = i8x16.shuffle(v0, v1, 0, 4, 8, 12, 16, 20, 24, 28, 1, 5, 9, 13, 17, 21, 25, 29);
    const cm1 = i8x16.shuffle(v2, v3, 0, 4, 8, 12, 16, 20, 24, 28, 1, 5, 9, 13, 17, 21, 25, 29);
    const yk0 = i8x16.shuffle(v0, v1, 2, 6, 10, 14, 18, 22, 26, 30, 3, 7, 11, 15, 19, 23, 27, 31);
    const yk1 = i8x16.shuffle(v2, v3, 2, 6, 10, 14, 18, 22, 26, 30, 3, 7, 11, 15, 19, 23, 27, 31);
    v128.store(c + i, i64x2.shuffle(cm0, cm1, 0, 2));
    v128.store(m + i, i64x2.shuffle(cm0, cm1, 1, 3));
    v128.store(y + i, i64x2.shuffle(yk0, yk1, 0, 2));
    v128.store(k + i, i64x2.shuffle(yk0, yk1, 1, 3));
  }
}

/** Interleaves four planes. */
export function joinFour(c: usize, m: usize, y: usize, k: usize, count: i32, to: usize): void {
  for (let i = 0; i < count; i += 16, to += 64) {
    storeFour(v128.load(c + i), v128.load(m + i), v128.load(y + i), v128.load(k + i), to);
  }
}

/** Sixteen pixels of four samples, interleaved. */
export function storeFour(c: v128, m: v128, y: v128, k: v128, to: usize): void {
  const cmLow = i8x16.shuffle(c, m, 0, 16, 1, 17, 2, 18, 3, 19, 4, 20, 5, 21, 6, 22, 7, 23);
  const cmHigh = i8x16.shuffle(c, m, 8, 24, 9, 25, 10, 26, 11, 27, 12, 28, 13, 29, 14, 30, 15, 31);
  const ykLow = i8x16.shuffle(y, k, 0, 16, 1, 17, 2, 18, 3, 19, 4, 20, 5, 21, 6, 22, 7, 23);
  const ykHigh = i8x16.shuffle(y, k, 8, 24, 9, 25, 10, 26, 11, 27, 12, 28, 13, 29, 14, 30, 15, 31);
  v128.store(to, i16x8.shuffle(cmLow, ykLow, 0, 8, 1, 9, 2, 10, 3, 11));
  v128.store(to, i16x8.shuffle(cmLow, ykLow, 4, 12, 5, 13, 6, 14, 7, 15), 16);
  v128.store(to, i16x8.shuffle(cmHigh, ykHigh, 0, 8, 1, 9, 2, 10, 3, 11), 32);
  v128.store(to, i16x8.shuffle(cmHigh, ykHigh, 4, 12, 5, 13, 6, 14, 7, 15), 48);
}

/**
 * Lays black line over colour, in place: where `cover` is above 0, three inks whose sum passes `headroom` are lowered to the
 * share that `shares` has for their sum (in 1/65536), and black rises to full in the measure of the cover.
 * @param shares 766 numbers of 32 bit
 * @returns pixels whose colour was lowered
 */
export function overprint(
  cover: usize,
  c: usize,
  m: usize,
  y: usize,
  k: usize,
  count: i32,
  headroom: i32,
  shares: usize,
): i32 {
  let lowered = 0;
  for (let i = 0; i < count; i += 16) {
    const line = v128.load(cover + i);
    if (!v128.any_true(line)) continue;
    v128.store(k + i, risen(v128.load(k + i), line));
    const covered = i8x16.bitmask(i8x16.ne(line, i8x16.splat(0)));
    let over = covered & passing(v128.load(c + i), v128.load(m + i), v128.load(y + i), headroom);
    for (; over !== 0; over &= over - 1) {
      const at = i + ctz(over);
      const inks = <i32>load<u8>(c + at) + <i32>load<u8>(m + at) + <i32>load<u8>(y + at);
      const share = load<u32>(shares + inks * 4);
      store<u8>(c + at, <u8>((load<u8>(c + at) * share) >> 16));
      store<u8>(m + at, <u8>((load<u8>(m + at) * share) >> 16));
      store<u8>(y + at, <u8>((load<u8>(y + at) * share) >> 16));
      lowered++;
    }
  }
  return lowered;
}

/** Black that rises towards full by a share in 255ths: divides by 255 with rounding, exact for products of two bytes. */
function risen(black: v128, line: v128): v128 {
  const free = v128.not(black);
  const low = divided(i16x8.extmul_low_i8x16_u(free, line));
  const high = divided(i16x8.extmul_high_i8x16_u(free, line));
  return i8x16.add(black, i8x16.narrow_i16x8_u(low, high));
}

function divided(product: v128): v128 {
  const half = i16x8.add(product, i16x8.splat(128));
  return i16x8.shr_u(i16x8.add(half, i16x8.shr_u(half, 8)), 8);
}

/** One bit for each of sixteen pixels whose three inks add up to more than `headroom`. */
function passing(c: v128, m: v128, y: v128, headroom: i32): i32 {
  const bound = i16x8.splat(<i16>headroom);
  const low = i16x8.gt_u(i16x8.add(addLow(c, m), i16x8.extend_low_i8x16_u(y)), bound);
  const high = i16x8.gt_u(i16x8.add(addHigh(c, m), i16x8.extend_high_i8x16_u(y)), bound);
  return i8x16.bitmask(i8x16.narrow_i16x8_s(low, high));
}

/** Lays pixels with straight alpha (red, green, blue, alpha) over pixels without, in place, rounded to the nearest. */
export function layOver(ground: usize, drawn: usize, count: i32): void {
  const alphas = i32x4.splat(<i32>0xff000000);
  for (let i = 0; i < count; i += 4) {
    const four = drawn + i * 4;
    if (!v128.any_true(v128.and(v128.load(four), alphas))) continue;
    for (let pixel = 0, rest = min(4, count - i); pixel < rest; pixel++) {
      const from = four + pixel * 4;
      const to = ground + (i + pixel) * 3;
      const alpha = <u32>load<u8>(from, 3);
      if (alpha === 0) continue;
      store<u8>(to, mixed(load<u8>(from), load<u8>(to), alpha));
      store<u8>(to, mixed(load<u8>(from, 1), load<u8>(to, 1), alpha), 1);
      store<u8>(to, mixed(load<u8>(from, 2), load<u8>(to, 2), alpha), 2);
    }
  }
}

function mixed(over: u8, under: u8, alpha: u32): u8 {
  return <u8>((<u32>over * alpha + <u32>under * (255 - alpha) + 127) / 255);
}

/**
 * Counts tone in line art, from the second to the last but one column of `rows` rows, of which the first stands behind
 * another one and the last before one. Grey are samples from `low` to `low` + `span` whose four neighbours are as well;
 * ink are samples from `low` on.
 * @param counts receives grey and ink, 32 bit each
 */
export function countGrey(from: usize, width: i32, rows: i32, low: i32, span: i32, counts: usize): void {
  const base = i8x16.splat(<i8>low);
  const wide = i8x16.splat(<i8>span);
  let grey = 0;
  let ink = 0;
  for (let y = 0; y < rows; y++) {
    for (let x = 1; x < width - 1; x += 16) {
      const at = from + y * width + x;
      const inside = width - 1 - x;
      const lanes = inside >= 16 ? 0xffff : (1 << inside) - 1;
      const here = v128.load(at);
      const inked = lanes & i8x16.bitmask(i8x16.ge_u(here, base));
      ink += popcnt(inked);
      if (inked === 0) continue;
      const beside = v128.and(isGrey(v128.load(at - 1), base, wide), isGrey(v128.load(at + 1), base, wide));
      const across = v128.and(
        isGrey(v128.load(at - width), base, wide),
        isGrey(v128.load(at + width), base, wide),
      );
      grey += popcnt(lanes & i8x16.bitmask(v128.and(isGrey(here, base, wide), v128.and(beside, across))));
    }
  }
  store<i32>(counts, grey);
  store<i32>(counts, ink, 4);
}

function isGrey(samples: v128, base: v128, span: v128): v128 {
  return i8x16.le_u(i8x16.sub(samples, base), span);
}
