import { crc32, deflateSync } from 'node:zlib';
import type { SizePx } from '../../config/units.js';

/** A colour of a palette: red, green, blue and opacity, 0 to 255 each. */
export type PaletteColour = readonly [red: number, green: number, blue: number, opacity: number];

const signature = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);

/** PNG (third edition) section 11.2.1: 8 bits a sample, palette, deflate, the one filter method, not interlaced. */
const palettePicture = [8, 3, 0, 0, 0] as const;

/** Areas of few colours pack well at any level; this one takes a few milliseconds. */
const level = 4;

/**
 * A picture of at most 256 colours as PNG. Written out by ourselves: the image library would look for colours that are known already.
 * @param indexes of the palette, width x height
 */
export function indexedPng(
  { width, height }: SizePx,
  indexes: Uint8Array,
  palette: readonly PaletteColour[],
): Uint8Array {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set(palettePicture, 8);
  // A byte before each row names its filter: none, as suits palettes (section 12.7).
  const rows = new Uint8Array((width + 1) * height);
  for (let y = 0; y < height; y++)
    rows.set(indexes.subarray(y * width, (y + 1) * width), y * (width + 1) + 1);
  return Buffer.concat([
    signature,
    chunk('IHDR', head),
    chunk('PLTE', Uint8Array.from(palette.flatMap((colour) => colour.slice(0, 3)))),
    chunk(
      'tRNS',
      Uint8Array.from(palette, ([, , , opacity]) => opacity),
    ),
    chunk('IDAT', deflateSync(rows, { level })),
    chunk('IEND', new Uint8Array(0)),
  ]);
}

/** Section 5.3: length, type, data, and a CRC over type and data. */
function chunk(type: string, data: Uint8Array): Uint8Array {
  const whole = Buffer.alloc(data.length + 12);
  whole.writeUInt32BE(data.length, 0);
  whole.write(type, 4, 'latin1');
  whole.set(data, 8);
  whole.writeUInt32BE(crc32(whole.subarray(4, data.length + 8)), data.length + 8);
  return whole;
}
