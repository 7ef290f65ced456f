const full: f64 = 65535;
const scale: f64 = 255 / full;
const tileSide: usize = 32;

/**
 * Writes a finished tile onto white paper as red, green and blue of 8 bit: the page beneath its line where line stays, the
 * page as it looks everywhere else.
 * @param amount line of each pixel, 16 bit; 0 for a tile without line
 * @param marks of each pixel; where one has a bit of `gone`, its line does not stay
 */
export function paperTile(
  whole: usize,
  beneath: usize,
  amount: usize,
  marks: usize,
  gone: i32,
  width: i32,
  rows: i32,
  to: usize,
  toRow: usize,
): void {
  for (let y = 0; y < rows; y++) {
    const first = <usize>y * tileSide;
    let out = to + <usize>y * toRow;
    for (let x = 0; x < width; x++, out += 3) {
      const pixel = first + x;
      onPaper((amount !== 0 && stays(amount, marks, gone, pixel) ? beneath : whole) + pixel * 8, out);
    }
  }
}

/** Whether the line of a pixel stays line. */
function stays(amount: usize, marks: usize, gone: i32, pixel: usize): bool {
  return load<u16>(amount + pixel * 2) !== 0 && (load<u8>(marks + pixel) & gone) === 0;
}

/** A sample of 16 bit rounded to 8: 65535 is 255 x 257, so that no quotient falls on a half. */
function in8(sample: u32): u32 {
  return (sample + 128) / 257;
}

function onPaper(pixel: usize, out: usize): void {
  const alpha: u32 = load<u16>(pixel, 6);
  for (let c: usize = 0; c < 3; c++) {
    const sample: u32 = load<u16>(pixel + c * 2);
    if (alpha === 65535) store<u8>(out + c, in8(sample));
    else {
      const shown = full + ((<f64>sample - full) * <f64>alpha) / full;
      store<u8>(out + c, <u8>(<u32>(shown * scale + 0.5)));
    }
  }
}

/**
 * As `paperTile`, for a tile whose pixels are stored without alpha, on the page and beneath its line, and which lies on the
 * page with its whole width.
 */
export function paperOfShut(
  whole: usize,
  beneath: usize,
  amount: usize,
  marks: usize,
  gone: i32,
  rows: i32,
  to: usize,
  toRow: usize,
): void {
  for (let y = 0; y < rows; y++) {
    const first = <usize>y * tileSide;
    const out = to + <usize>y * toRow;
    for (let at: usize = 0; at < tileSide * 3; at += 16) {
      const from = whole + (first * 3 + at) * 2;
      v128.store(out + at, i8x16.narrow_i16x8_u(allIn8(v128.load(from)), allIn8(v128.load(from, 16))));
    }
    if (amount === 0) continue;
    for (let x: usize = 0; x < tileSide; x++) {
      const pixel = first + x;
      if (!stays(amount, marks, gone, pixel)) continue;
      for (let c: usize = 0; c < 3; c++) {
        store<u8>(out + x * 3 + c, in8(load<u16>(beneath + (pixel * 3 + c) * 2)));
      }
    }
  }
}

/** As `in8`, which is the upper half of 255 s + 32895 for each s there is. */
function allIn8(samples: v128): v128 {
  const factor = i16x8.splat(255);
  const low = i32x4.add(i32x4.extmul_low_i16x8_u(samples, factor), i32x4.splat(32895));
  const high = i32x4.add(i32x4.extmul_high_i16x8_u(samples, factor), i32x4.splat(32895));
  return i8x16.shuffle(low, high, 2, 3, 6, 7, 10, 11, 14, 15, 18, 19, 22, 23, 26, 27, 30, 31);
}
