import type { Bitmap, Plate } from '../model/raster.js';

/**
 * A black plate that holds the line as well, at the line's resolution: the colour's black enlarged pixel by pixel, without any new
 * tone between two pixels, and full ink wherever the line is. A sample of it is the larger of the two.
 * @param black of the colour, 0 no ink to 255 full
 * @param line of the same page; covers the same area with as many pixels or more
 * @returns 8 bit, as wide and high as the line
 */
export function plateWithLine(black: Plate, line: Bitmap): Plate {
  const { width, height } = line;
  const data = new Uint8Array(width * height);
  const columns = sources(width, black.width);
  const rows = sources(height, black.height);
  for (let y = 0; y < height; y++) {
    const to = y * width;
    if (y > 0 && rows[y] === rows[y - 1]) data.copyWithin(to, to - width, to);
    else enlargeRow(black.data, rows[y] * black.width, columns, data, to);
    if (y > 0) inkLine(line, y - 1, data);
  }
  inkLine(line, height - 1, data);
  return { width, height, data };
}

/** Which pixel lies beneath the middle of each of so many. */
function sources(count: number, of: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, i) => Math.floor(((2 * i + 1) * of) / (2 * count)));
}

function enlargeRow(from: Uint8Array, at: number, columns: Uint32Array, into: Uint8Array, to: number): void {
  for (let x = 0; x < columns.length; x++) into[to + x] = from[at + columns[x]];
}

/** Full ink where the row of the line has any; most bytes of it have none. */
function inkLine({ width, rowBytes, bits }: Bitmap, row: number, into: Uint8Array): void {
  const from = row * rowBytes;
  for (let byte = 0; byte < rowBytes; byte++) {
    const eight = bits[from + byte];
    if (eight === 0) continue;
    for (let bit = 0; bit < 8 && byte * 8 + bit < width; bit++) {
      if ((eight & (1 << bit)) !== 0) into[row * width + byte * 8 + bit] = 255;
    }
  }
}
