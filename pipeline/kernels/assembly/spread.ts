import { alphaLanes, alphasOf, pixelSize } from './tiles';

/** Bringing layers of 8 bit to tiles of 16 bit; two pixels of a tile fill a vector. */

/**
 * Spreads rows of 8-bit pixels to tiles of 16 bit. Grey becomes red, green and blue; without alpha a pixel is opaque; where
 * alpha is 0, so is all else.
 * @param from read up to 15 bytes beyond the last pixel
 * @param pixelBytes 1 grey, 2 grey with alpha, 3 rgb, 4 rgb with alpha
 * @param alphas 256 alphas of 16 bit, one for each sample of 8 bit; 0 where alpha stays as it is
 * @returns whether any pixel shows
 */
export function spreadTile(
  from: usize,
  row: usize,
  width: i32,
  rows: i32,
  pixelBytes: i32,
  alphas: usize,
  to: usize,
  toRow: usize,
): bool {
  if (pixelBytes === 4 && !showsAny(from, row, width, rows)) {
    for (let y = 0; y < rows; y++, to += toRow) memory.fill(to, 0, <usize>width * pixelSize);
    return false;
  }
  if (pixelBytes === 4 && alphas === 0) {
    for (let y = 0; y < rows; y++, from += row, to += toRow) spreadRow(from, width, to);
    return true;
  }
  const places = placesOf(pixelBytes);
  const opaque = (pixelBytes & 1) === 1 ? alphaLanes() : i16x8.splat(0);
  const step = <usize>(2 * pixelBytes);
  let seen = i16x8.splat(0);
  for (let y = 0; y < rows; y++, from += row, to += toRow) {
    for (let x = 0, at = from, out = to; x < width; x += 2, at += step, out += 16) {
      const samples = v128.or(i8x16.swizzle(v128.load(at), places), opaque);
      const faded = alphas === 0 ? samples : withAlphas(samples, alphas);
      const shown = v128.andnot(faded, i16x8.eq(alphasOf(samples), i16x8.splat(0)));
      if (x + 1 < width) {
        v128.store(out, shown);
        seen = v128.or(seen, samples);
      } else {
        v128.store_lane<u64>(out, shown, 0);
        seen = v128.or(seen, i64x2.replace_lane(samples, 1, 0));
      }
    }
  }
  return v128.any_true(v128.and(seen, alphaLanes()));
}

/** Whether the alpha of any pixel of red, green, blue and alpha, 8 bit each, is more than 0. */
function showsAny(from: usize, row: usize, width: i32, rows: i32): bool {
  const last: usize = <usize>(width & ~3) * 4;
  for (let y = 0; y < rows; y++, from += row) {
    let seen = i8x16.splat(0);
    for (let at: usize = 0; at < last; at += 16) seen = v128.or(seen, v128.load(from + at));
    for (let at = last; at < <usize>width * 4; at += 4) seen = v128.or(seen, v128.load32_zero(from + at));
    if (v128.any_true(v128.and(seen, i32x4.splat(0xff000000)))) return true;
  }
  return false;
}

/** Spreads a row of red, green, blue and alpha as it is; what does not show becomes 0. */
function spreadRow(from: usize, width: i32, to: usize): void {
  const lower = i8x16(0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7);
  const upper = i8x16(8, 8, 9, 9, 10, 10, 11, 11, 12, 12, 13, 13, 14, 14, 15, 15);
  const alpha = i8x16(3, 3, 3, 3, 7, 7, 7, 7, 11, 11, 11, 11, 15, 15, 15, 15);
  const end = from + <usize>(width & ~3) * 4;
  for (; from < end; from += 16, to += 32) {
    const pixels = v128.load(from);
    const shown = v128.andnot(pixels, i8x16.eq(i8x16.swizzle(pixels, alpha), i8x16.splat(0)));
    v128.store(to, i8x16.swizzle(shown, lower));
    v128.store(to, i8x16.swizzle(shown, upper), 16);
  }
  for (let left = width & 3; left > 0; left--, from += 4, to += pixelSize) {
    const pixel = v128.load32_zero(from);
    const shown = v128.andnot(pixel, i8x16.eq(i8x16.swizzle(pixel, alpha), i8x16.splat(0)));
    v128.store64_lane(to, i8x16.swizzle(shown, lower), 0);
  }
}

/** Two spread pixels with other alphas. */
function withAlphas(samples: v128, alphas: usize): v128 {
  const first = load<u16>(alphas + (<usize>i16x8.extract_lane_u(samples, 3) & 255) * 2);
  const second = load<u16>(alphas + (<usize>i16x8.extract_lane_u(samples, 7) & 255) * 2);
  return i16x8.replace_lane(i16x8.replace_lane(samples, 3, first), 7, second);
}

/** Where each byte of two spread pixels comes from: a sample of 8 bit twice is the same sample of 16 bit. */
function placesOf(pixelBytes: i32): v128 {
  if (pixelBytes === 1) return i8x16(0, 0, 0, 0, 0, 0, -1, -1, 1, 1, 1, 1, 1, 1, -1, -1);
  if (pixelBytes === 2) return i8x16(0, 0, 0, 0, 0, 0, 1, 1, 2, 2, 2, 2, 2, 2, 3, 3);
  if (pixelBytes === 3) return i8x16(0, 0, 1, 1, 2, 2, -1, -1, 3, 3, 4, 4, 5, 5, -1, -1);
  return i8x16(0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7);
}
