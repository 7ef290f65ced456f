/**
 * Marks, a bit a pixel, where two pictures of one kind differ. Rows of marks are whole 64-bit words, as of any bitmap. Reads up to
 * 15 bytes beyond the last pixel of both.
 */
export function markUnlike(
  one: usize,
  other: usize,
  width: i32,
  rows: i32,
  pixelBytes: i32,
  to: usize,
): void {
  const rowBytes = width * pixelBytes;
  const bitBytes = ((width + 63) >> 6) << 3;
  memory.fill(to, 0, bitBytes * rows);
  for (let y = 0; y < rows; y++) {
    for (let at = 0; at < rowBytes; at += 16) {
      const same = i8x16.eq(v128.load(one + at), v128.load(other + at));
      let unlike = ~i8x16.bitmask(same) & 0xffff;
      if (unlike === 0) continue;
      if (rowBytes - at < 16) unlike &= (1 << (rowBytes - at)) - 1;
      while (unlike !== 0) {
        const pixel = (at + ctz(unlike)) / pixelBytes;
        const byte = to + (pixel >> 3);
        const bit: i32 = 1 << (pixel & 7);
        store<u8>(byte, <u8>(<i32>load<u8>(byte) | bit));
        // The other samples of the pixel tell nothing more.
        const next = (pixel + 1) * pixelBytes - at;
        unlike = next >= 16 ? 0 : unlike & (-1 << next);
      }
    }
    one += rowBytes;
    other += rowBytes;
    to += bitBytes;
  }
}
