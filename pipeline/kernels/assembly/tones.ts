/**
 * How bright pixels of three samples are, sixteen at a time. Reads up to 45 bytes beyond the last pixel, and writes up to 15 tones
 * beyond the last one.
 */

/**
 * The brightest sample of each pixel, and brighter by as much as its samples differ by more than `chroma`; at most 255. With a
 * chroma of 255 nothing is added.
 */
export function tonesOf(from: usize, count: i32, chroma: i32, to: usize): void {
  const most = i8x16.splat(<i8>chroma);
  for (let i = 0; i < count; i += 16, from += 48) {
    const a = v128.load(from);
    const b = v128.load(from, 16);
    const c = v128.load(from, 32);
    // What each of the first two vectors has of a sample comes together first, then what the third one has.
    const red2 = i8x16.shuffle(a, b, 0, 3, 6, 9, 12, 15, 18, 21, 24, 27, 30, 0, 0, 0, 0, 0);
    const green2 = i8x16.shuffle(a, b, 1, 4, 7, 10, 13, 16, 19, 22, 25, 28, 31, 0, 0, 0, 0, 0);
    const blue2 = i8x16.shuffle(a, b, 2, 5, 8, 11, 14, 17, 20, 23, 26, 29, 0, 0, 0, 0, 0, 0);
    const red = i8x16.shuffle(red2, c, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 17, 20, 23, 26, 29);
    const green = i8x16.shuffle(green2, c, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 18, 21, 24, 27, 30);
    const blue = i8x16.shuffle(blue2, c, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 16, 19, 22, 25, 28, 31);
    const high = i8x16.max_u(red, i8x16.max_u(green, blue));
    const low = i8x16.min_u(red, i8x16.min_u(green, blue));
    const coloured = i8x16.sub_sat_u(i8x16.sub_sat_u(high, low), most);
    v128.store(to + i, i8x16.add_sat_u(high, coloured));
  }
}
