import { endianness } from 'node:os';
import type { SizePx } from '../../config/units.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import type { DarkPlane } from './dark-planes.js';

/**
 * How a page looks, in two thousand bytes: the mean of each of some hundred cells, to the 256th of a level. Where edges tell whether two
 * pictures are drawn alike (traces.ts), this tells whether they are one picture, colour included.
 */

/** Cells of a page, whatever its size: some 7 mm of a comic's page each. Own choice. */
const columns = 24;
const rows = 36;

/** Every so many rows of a picture with tones are looked at: what was retouched is higher. */
const rowStep = 2;

/** What a level of 255 is in a look. */
const perLevel = 256;

/** How much each channel counts, in tenths: no two, so that a change of hue is one of the mean. */
const weights = [3, 5, 2, 4] as const;

/** The look of colour. */
export function lookOfColour(colour: Raster): string {
  const { width, height, data } = colour;
  const channels = channelsOf(colour);
  const scale = 255 / maxOf(colour);
  const sums = new Float64Array(columns * rows);
  const counts = new Float64Array(columns * rows);
  const ends = endsOf(width, columns);
  for (let y = 0; y < height; y += rowStep) {
    const first = Math.floor((y * rows) / height) * columns;
    for (let column = 0, x = 0, at = y * width * channels; column < columns; column++) {
      const stretch = ends[column] - x;
      counts[first + column] += stretch;
      sums[first + column] += (weighed(data, at, stretch, channels) * scale) / 10;
      x = ends[column];
      at += stretch * channels;
    }
  }
  return written(sums, counts);
}

/** The sum of so many pixels from a sample on, channels by their weights. */
function weighed(data: Raster['data'], from: number, pixels: number, channels: number): number {
  const end = from + pixels * channels;
  let sum = 0;
  if (channels === 3) {
    const [red, green, blue] = weights;
    for (let at = from; at < end; at += 3) sum += red * data[at] + green * data[at + 1] + blue * data[at + 2];
    return sum;
  }
  const counted = Math.min(channels, weights.length);
  for (let at = from; at < end; at += channels) {
    for (let c = 0; c < counted; c++) sum += weights[c] * data[at + c];
  }
  return sum;
}

/** The look of line, every pixel counted. */
export function lookOfLine({ width, height, rowBytes, bits }: Bitmap): string {
  const words = new Uint32Array(bits.buffer, bits.byteOffset, bits.length >> 2);
  const inRow = rowBytes >> 2;
  const sums = new Float64Array(columns * rows);
  const counts = new Float64Array(columns * rows);
  // Cells of whole words: pages of one size have the same.
  const ends = endsOf(inRow, columns);
  for (let y = 0; y < height; y++) {
    const first = Math.floor((y * rows) / height) * columns;
    for (let column = 0, word = 0; column < columns; column++) {
      let sum = 0;
      counts[first + column] += 32 * (ends[column] - word);
      for (; word < ends[column]; word++) {
        const own = words[y * inRow + word];
        if (own !== 0) sum += bitsIn(own);
      }
      sums[first + column] += 255 * sum;
    }
  }
  return width === 0 ? '' : written(sums, counts);
}

/** The look of lettering. */
export function lookOfLettering({ width, height, dark }: Pick<DarkPlane, 'dark'> & SizePx): string {
  return lookOfColour({ width, height, model: 'grey', alpha: false, data: dark });
}

/** Where each of so many cells ends on a length. */
function endsOf(length: number, cells: number): number[] {
  return Array.from({ length: cells }, (_, cell) => Math.floor(((cell + 1) * length) / cells));
}

function bitsIn(word: number): number {
  let n = word - ((word >>> 1) & 0x55555555);
  n = (n & 0x33333333) + ((n >>> 2) & 0x33333333);
  return Math.imul((n + (n >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}

function written(sums: Float64Array, counts: Float64Array): string {
  const bytes = Buffer.alloc(2 * sums.length);
  for (let cell = 0; cell < sums.length; cell++) {
    const mean = counts[cell] === 0 ? 0 : Math.min(255, sums[cell] / counts[cell]);
    bytes.writeUInt16LE(Math.round(mean * perLevel), 2 * cell);
  }
  return bytes.toString('base64');
}

/** A look as numbers: what was written, and the mean of it in levels. */
export interface OpenLook {
  readonly cells: Uint16Array;
  readonly mean: number;
}

/** Looks are written with the low byte first, as nearly every processor has its numbers. */
const isBigEndian = endianness() === 'BE';

/** Opens a look. */
export function openLook(look: string): OpenLook {
  const cells = new Uint16Array(Buffer.byteLength(look, 'base64') >> 1);
  const bytes = Buffer.from(cells.buffer);
  bytes.write(look, 'base64');
  if (isBigEndian) bytes.swap16();
  let sum = 0;
  for (let cell = 0; cell < cells.length; cell++) sum += cells[cell];
  return { cells, mean: sum / Math.max(1, cells.length) / perLevel };
}

/** Whether two looks are of one picture: no cell differs by more than so many levels. */
export function areOnePicture(one: OpenLook, other: OpenLook, mostLevels: number): boolean {
  const most = mostLevels * perLevel;
  if (one.cells.length !== other.cells.length) return false;
  for (let cell = 0; cell < one.cells.length; cell++) {
    if (Math.abs(one.cells[cell] - other.cells[cell]) > most) return false;
  }
  return true;
}
