/**
 * Passes over the tiles of layers: interleaved red, green, blue and straight alpha, 16 bit. A sample s stands for
 * s / 65535. That number is odd, so that no product of samples, divided by it, falls on a half: where a backdrop is
 * opaque, integers give exactly what rounding the formula's result would. Elsewhere numbers of double precision are used.
 *
 * Two pixels fill a vector, so that one pixel beyond an odd number of them is worked on as well.
 */

const full: f64 = 65535;
const per16: f64 = 1 / full;
/** Bytes of a pixel. */
export const pixelSize: usize = 8;

/** All bits of the alpha of both pixels of a vector. */
export function alphaLanes(): v128 {
  return i16x8(0, 0, 0, -1, 0, 0, 0, -1);
}

/** The alpha of each of two pixels beside all of its samples. */
export function alphasOf(pixels: v128): v128 {
  return i8x16.shuffle(pixels, pixels, 6, 7, 6, 7, 6, 7, 6, 7, 14, 15, 14, 15, 14, 15, 14, 15);
}

/** Whether all alpha of two pixels is full. */
function isOpaque(pixels: v128): bool {
  return i16x8.all_true(i16x8.eq(v128.or(pixels, v128.not(alphaLanes())), i16x8.splat(-1)));
}

/** Sums of up to 65535 x 65535, divided by 65535 and rounded. */
function quotients(low: v128, high: v128): v128 {
  const first = inUpperHalf(low);
  const second = inUpperHalf(high);
  return i8x16.shuffle(first, second, 2, 3, 6, 7, 10, 11, 14, 15, 18, 19, 22, 23, 26, 27, 30, 31);
}

/** With half of 65535 added, t / 65535 is the upper half of t + t / 65536 + 1. */
function inUpperHalf(sums: v128): v128 {
  const raised = i32x4.add(sums, i32x4.splat(32767));
  return i32x4.add(i32x4.add(raised, i32x4.shr_u(raised, 16)), i32x4.splat(1));
}

function product(a: v128, b: v128): v128 {
  return quotients(i32x4.extmul_low_i16x8_u(a, b), i32x4.extmul_high_i16x8_u(a, b));
}

/** a + b - ab, which never leaves 16 bit, though the sum before it may. */
function screened(a: v128, b: v128): v128 {
  return i16x8.sub(i16x8.add(a, b), product(a, b));
}

/** `under` (1 - alpha) + `shown` alpha. */
function mixed(under: v128, shown: v128, alphas: v128): v128 {
  const rest = v128.not(alphas);
  return quotients(
    i32x4.add(i32x4.extmul_low_i16x8_u(under, rest), i32x4.extmul_low_i16x8_u(shown, alphas)),
    i32x4.add(i32x4.extmul_high_i16x8_u(under, rest), i32x4.extmul_high_i16x8_u(shown, alphas)),
  );
}

/** B(Cb, Cs) of the blend modes in integers; the alpha of each pixel is computed but means nothing. */
export function multiplyTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16)
    v128.store(to + i, product(v128.load(under + i), v128.load(over + i)));
}

export function screenTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16)
    v128.store(to + i, screened(v128.load(under + i), v128.load(over + i)));
}

/** Multiply with 2s where the source is dark, screen with 2s - 1 where it is light. */
export function hardLightTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16) {
    const b = v128.load(under + i);
    const s = v128.load(over + i);
    const twice = i16x8.shl(s, 1);
    // 2s - 65535 is 2s + 1 in 16 bit.
    const light = screened(b, i16x8.add(twice, i16x8.splat(1)));
    v128.store(to + i, v128.bitselect(light, product(b, twice), i16x8.shr_s(s, 15)));
  }
}

export function darkenTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16)
    v128.store(to + i, i16x8.min_u(v128.load(under + i), v128.load(over + i)));
}

export function lightenTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16)
    v128.store(to + i, i16x8.max_u(v128.load(under + i), v128.load(over + i)));
}

export function differenceTile(under: usize, over: usize, to: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16) {
    const b = v128.load(under + i);
    const s = v128.load(over + i);
    v128.store(to + i, i16x8.sub(i16x8.max_u(b, s), i16x8.min_u(b, s)));
  }
}

/**
 * Source over: lays what a tile shows over another, by its alpha.
 * @param shown the colours: those of the tile itself, or B(Cb, Cs) of a blend mode, which count by the backdrop's alpha
 */
export function layTile(under: usize, over: usize, shown: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16) {
    const alphas = alphasOf(v128.load(over + i));
    if (!v128.any_true(alphas)) continue;
    const pixels = v128.load(under + i);
    if (isOpaque(pixels)) {
      const laid = mixed(pixels, v128.load(shown + i), alphas);
      v128.store(under + i, v128.or(laid, alphaLanes()));
    } else {
      layPixel(under + i, over + i, shown + i);
      layPixel(under + i + pixelSize, over + i + pixelSize, shown + i + pixelSize);
    }
  }
}

/** Co = Cb + (Cs - Cb) as / ao, with ao = as + ab - as ab and Cs mixed with what is shown by ab. */
function layPixel(under: usize, over: usize, shown: usize): void {
  const as: f64 = <f64>load<u16>(over, 6);
  if (as === 0) return;
  const ab: f64 = <f64>load<u16>(under, 6);
  const ao: f64 = ab === full ? full : as + ab - as * ab * per16;
  const share = as / ao;
  const mix = ab * per16;
  for (let c: usize = 0; c < 6; c += 2) {
    const own: f64 = <f64>load<u16>(over + c);
    const source = own + (<f64>load<u16>(shown + c) - own) * mix;
    const below: f64 = <f64>load<u16>(under + c);
    store<u16>(under + c, <u16>(<u32>(below + (source - below) * share + 0.5)));
  }
  store<u16>(under, <u16>(<u32>(ao + 0.5)), 6);
}

/** Plus: co = as Cs + ab Cb and ao = as + ab, both at most 1. */
export function addTile(under: usize, over: usize, samples: i32): void {
  for (let i: usize = 0; i < <usize>samples * 2; i += 16) {
    const source = v128.load(over + i);
    const alphas = alphasOf(source);
    if (!v128.any_true(alphas)) continue;
    const pixels = v128.load(under + i);
    if (isOpaque(pixels)) {
      v128.store(under + i, v128.or(i16x8.add_sat_u(pixels, product(source, alphas)), alphaLanes()));
    } else {
      addPixel(under + i, over + i);
      addPixel(under + i + pixelSize, over + i + pixelSize);
    }
  }
}

function addPixel(under: usize, over: usize): void {
  const as: f64 = <f64>load<u16>(over, 6);
  if (as === 0) return;
  const ab: f64 = <f64>load<u16>(under, 6);
  const ao: f64 = min(full, as + ab);
  for (let c: usize = 0; c < 6; c += 2) {
    const sum = as * <f64>load<u16>(over + c) + ab * <f64>load<u16>(under + c);
    store<u16>(under + c, <u16>(<u32>min(full, sum / ao + 0.5)));
  }
  store<u16>(under, <u16>ao, 6);
}

/** Two pixels of red, green and blue, full alpha with each. */
function opened(at: usize): v128 {
  const places = i8x16(0, 1, 2, 3, 4, 5, -1, -1, 6, 7, 8, 9, 10, 11, -1, -1);
  return v128.or(i8x16.swizzle(v128.load(at), places), alphaLanes());
}

/** Stores red, green and blue of two pixels. */
function storeShut(at: usize, samples: v128): void {
  const shut = i8x16.swizzle(samples, i8x16(0, 1, 2, 3, 4, 5, 8, 9, 10, 11, 12, 13, -1, -1, -1, -1));
  v128.store64_lane(at, shut, 0);
  v128.store32_lane(at, shut, 2, 8);
}

/** Puts the pixels of a tile that is stored without its alpha beside each other, full alpha with each. */
export function openTile(from: usize, to: usize, pixels: i32): void {
  for (let i = 0; i < pixels; i += 2, from += 12, to += 16) v128.store(to, opened(from));
}

/**
 * Puts red, green and blue of a tile's pixels beside each other, without their alpha.
 * @returns whether all alpha was full, so that nothing is lost
 */
export function shutTile(from: usize, to: usize, pixels: i32): bool {
  let all = i16x8.splat(-1);
  for (let i = 0; i < pixels; i += 2, from += 16, to += 12) {
    const samples = v128.load(from);
    all = v128.and(all, samples);
    storeShut(to, samples);
  }
  return isOpaque(all);
}

/** As `layTile`, over a tile that is stored without its alpha. */
export function layOnShut(under: usize, over: usize, shown: usize, pixels: i32): void {
  for (let i = 0; i < pixels; i += 2, under += 12, over += 16, shown += 16) {
    const alphas = alphasOf(v128.load(over));
    if (v128.any_true(alphas)) storeShut(under, mixed(opened(under), v128.load(shown), alphas));
  }
}
