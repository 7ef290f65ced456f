import sharp from 'sharp';
import type { SizePx } from '../../config/units.js';
import type { Bitmap, Plate, Raster } from '../model/raster.js';

/** Plates of a page made small, and a strip of them. */

/** Height of a page's picture in the report, and the most that a wide one may measure across: pixels. Own choice. */
const viewHeightPx = 800;
const mostAcrossPx = 1600;

/** Pictures in strips are smaller than the page's, by this share. Own choice: three quarters of the size take half the bytes. */
export const stripShare = 0.75;

/** JPEG quality of pictures for the report: to look through pages, not to judge them. Own choice. */
export const viewQuality = 80;
const plateQuality = 70;

/** The size of a page's picture in the report. @param page its size where it is finest; the picture is never larger */
export function viewSize(page: SizePx): SizePx {
  const share = Math.min(1, viewHeightPx / page.height, mostAcrossPx / page.width);
  const side = (length: number) => Math.max(1, Math.round(length * share));
  return { width: side(page.width), height: side(page.height) };
}

/** The size of each picture in a strip. @param view as `viewSize` gives it */
export function stripSize({ width, height }: SizePx): SizePx {
  return { width: Math.ceil(width * stripShare), height: Math.ceil(height * stripShare) };
}

/**
 * The four planes of interleaved inks, smaller: each pixel the mean of those that fall on it.
 * @param size not larger than the inks
 */
export function smallPlanes({ width, height, data }: Raster, size: SizePx): readonly Uint8Array[] {
  const columns = Int32Array.from({ length: width }, (_, x) => Math.floor((x * size.width) / width));
  const inColumn = new Int32Array(size.width);
  for (const column of columns) inColumn[column]++;
  const planes = [0, 1, 2, 3].map(() => new Uint8Array(size.width * size.height));
  const sums = new Int32Array(size.width * 4);
  let rows = 0;
  for (let y = 0, row = 0; y < height; y++) {
    addRow(sums, data.subarray(y * width * 4, (y + 1) * width * 4), columns);
    rows++;
    const next = Math.floor(((y + 1) * size.height) / height);
    if (next === row) continue;
    for (let x = 0; x < size.width; x++) {
      const count = inColumn[x] * rows;
      for (let ink = 0; ink < 4; ink++)
        planes[ink][row * size.width + x] = Math.round(sums[x * 4 + ink] / count);
    }
    sums.fill(0);
    rows = 0;
    row = next;
  }
  return planes;
}

function addRow(sums: Int32Array, row: Uint8Array | Uint16Array, columns: Int32Array): void {
  for (let x = 0, at = 0; x < columns.length; x++, at += 4) {
    const to = columns[x] * 4;
    sums[to] += row[at];
    sums[to + 1] += row[at + 1];
    sums[to + 2] += row[at + 2];
    sums[to + 3] += row[at + 3];
  }
}

/** One plate, smaller: amounts of ink, 0 none and 255 full. */
export async function smallPlate(plate: Plate | Bitmap, size: SizePx): Promise<Uint8Array> {
  const { width, height, data } = 'bits' in plate ? coverageOfBytes(plate) : plate;
  const raw = { raw: { width, height, channels: 1 as const }, limitInputPixels: false as const };
  const { buffer, byteOffset, length } = await sharp(data, raw)
    .resize(size.width, size.height, { fit: 'fill', kernel: 'linear' })
    .extractChannel(0)
    .raw()
    .toBuffer();
  return new Uint8Array(buffer, byteOffset, length);
}

/** Pixels in a byte of a bitmap, and rows that are taken together with it. */
const blockPx = 8;

const setBits = Uint8Array.from({ length: 256 }, (_, byte) => byte.toString(2).replaceAll('0', '').length);

/**
 * The share that is ink of each block of 8 by 8 pixels, 0 to 255: a tenth of the time that exact shares of any other grid take. What
 * reaches beyond the last column and row is paper.
 */
function coverageOfBytes({ width, height, rowBytes, bits }: Bitmap): Plate {
  const size = { width: Math.ceil(width / blockPx), height: Math.ceil(height / blockPx) };
  const data = new Uint8Array(size.width * size.height);
  const counts = new Uint16Array(size.width);
  for (let y = 0; y < height; y++) {
    for (let x = 0, at = y * rowBytes; x < size.width; x++, at++) counts[x] += setBits[bits[at]];
    if ((y + 1) % blockPx !== 0 && y + 1 !== height) continue;
    const to = Math.floor(y / blockPx) * size.width;
    for (let x = 0; x < size.width; x++) data[to + x] = Math.round((counts[x] * 255) / blockPx ** 2);
    counts.fill(0);
  }
  return { ...size, data };
}

/** Plates of one size, the first on top, in one grey JPEG: ink is dark. */
export async function plateStrip(
  plates: readonly Uint8Array[],
  { width, height }: SizePx,
): Promise<Uint8Array> {
  const grey = new Uint8Array(width * height * plates.length);
  for (const [tile, plate] of plates.entries()) {
    const to = tile * width * height;
    for (let i = 0; i < plate.length; i++) grey[to + i] = 255 - plate[i];
  }
  const raw = { raw: { width, height: height * plates.length, channels: 1 as const } };
  return sharp(grey, raw).toColourspace('b-w').jpeg({ quality: plateQuality }).toBuffer();
}
