/**
 * Compares each pixel of four planes with the one at an offset, sixteen at a time, and adds a bit to the mark of the pixel where
 * inks run against each other (some ink falls by `least` or more from it to the other, and another one rises as much), and another,
 * four bits higher, where black falls by `leastBlack` and another ink by `least` with it, either way round. Reads up to 15 pixels
 * beyond the last one, at its place and at the offset; writes as far.
 * @param offset of the other pixel, in samples
 * @param bit 1, 2, 4 or 8
 * @param marks count bytes
 */
export function markEdges(
  c: usize,
  m: usize,
  y: usize,
  k: usize,
  count: i32,
  offset: i32,
  least: i32,
  leastBlack: i32,
  bit: i32,
  marks: usize,
): void {
  const enough = i8x16.splat(<i8>least);
  const enoughBlack = i8x16.splat(<i8>leastBlack);
  const against = i8x16.splat(<i8>bit);
  const along = i8x16.splat(<i8>(bit << 4));
  for (let i = 0; i < count; i += 16) {
    const fall = mostOfThree(fallOf(c + i, offset), fallOf(m + i, offset), fallOf(y + i, offset));
    const rise = mostOfThree(riseOf(c + i, offset), riseOf(m + i, offset), riseOf(y + i, offset));
    const blackFall = fallOf(k + i, offset);
    const blackRise = riseOf(k + i, offset);
    const falls = i8x16.ge_u(i8x16.max_u(fall, blackFall), enough);
    const rises = i8x16.ge_u(i8x16.max_u(rise, blackRise), enough);
    const with0 = v128.and(i8x16.ge_u(blackFall, enoughBlack), i8x16.ge_u(fall, enough));
    const with1 = v128.and(i8x16.ge_u(blackRise, enoughBlack), i8x16.ge_u(rise, enough));
    const found = v128.or(v128.and(v128.and(falls, rises), against), v128.and(v128.or(with0, with1), along));
    v128.store(marks + i, v128.or(v128.load(marks + i), found));
  }
}

/** By how much each sample is above the one at an offset; 0 where it is not. */
function fallOf(at: usize, offset: i32): v128 {
  return i8x16.sub_sat_u(v128.load(at), v128.load(at + offset));
}

function riseOf(at: usize, offset: i32): v128 {
  return i8x16.sub_sat_u(v128.load(at + offset), v128.load(at));
}

function mostOfThree(one: v128, two: v128, three: v128): v128 {
  return i8x16.max_u(i8x16.max_u(one, two), three);
}
