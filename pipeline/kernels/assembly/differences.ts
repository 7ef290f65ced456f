import { storeFour } from './planes';

/**
 * Horizontal differences (TIFF 6.0, section 14): each sample less its left neighbour of the same plane, modulo 256; the
 * first of a row stands as it is. Reads a byte before each plane, and up to 15 pixels behind the last one; writes as far.
 */
export function differencesOfOne(plane: usize, width: i32, rows: i32, to: usize): void {
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < width; x += 16) v128.store(to + x, difference(plane + x));
    store<u8>(to, load<u8>(plane));
    plane += width;
    to += width;
  }
}

/** As `differencesOfOne` for four planes, which come out interleaved. */
export function differencesOfFour(
  c: usize,
  m: usize,
  y: usize,
  k: usize,
  width: i32,
  rows: i32,
  to: usize,
): void {
  for (let line = 0; line < rows; line++) {
    for (let x = 0; x < width; x += 16) {
      storeFour(difference(c + x), difference(m + x), difference(y + x), difference(k + x), to + x * 4);
    }
    store<u8>(to, load<u8>(c));
    store<u8>(to, load<u8>(m), 1);
    store<u8>(to, load<u8>(y), 2);
    store<u8>(to, load<u8>(k), 3);
    c += width;
    m += width;
    y += width;
    k += width;
    to += width * 4;
  }
}

function difference(at: usize): v128 {
  return i8x16.sub(v128.load(at), v128.load(at - 1));
}
