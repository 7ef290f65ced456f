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
      const stays =
        amount !== 0 && load<u16>(amount + pixel * 2) !== 0 && (load<u8>(marks + pixel) & gone) === 0;
      onPaper((stays ? beneath : whole) + pixel * 8, out);
    }
  }
}

function onPaper(pixel: usize, out: usize): void {
  const alpha: u32 = load<u16>(pixel, 6);
  for (let c: usize = 0; c < 3; c++) {
    const sample: u32 = load<u16>(pixel + c * 2);
    // 65535 is 255 x 257, so that no quotient falls on a half.
    if (alpha === 65535) store<u8>(out + c, (sample + 128) / 257);
    else {
      const shown = full + ((<f64>sample - full) * <f64>alpha) / full;
      store<u8>(out + c, <u8>(<u32>(shown * scale + 0.5)));
    }
  }
}
