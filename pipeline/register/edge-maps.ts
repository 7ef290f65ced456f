import type { SizePx } from '../../config/units.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';

/** Where a page has edges, roughly: in cells, so that windows can be laid where there are some. */

/** Pixels of the colour along the side of a cell. */
export const cellPx = 16;

/** Every so many rows of the colour are looked at. */
const rowStep = 4;

/** A step of a colour channel within two pixels that counts as an edge, of 255. Our own choice: paper grain stays below it. */
const leastStep = 24;

/** Edges in each cell of a page, row by row: those met on the way across, and those met on the way down. */
export interface EdgeMap {
  readonly columns: number;
  readonly rows: number;
  readonly across: Float32Array;
  readonly down: Float32Array;
}

function emptyMap({ width, height }: SizePx): EdgeMap {
  const columns = Math.ceil(width / cellPx);
  const rows = Math.ceil(height / cellPx);
  const cells = columns * rows;
  return { columns, rows, across: new Float32Array(cells), down: new Float32Array(cells) };
}

/** Pixels on edges of the colour in each cell: the steepest channel's steps across and down together are at least `leastStep`. */
export function colourEdges(colour: Raster): EdgeMap {
  const map = emptyMap(colour);
  const { width, height, data } = colour;
  const channels = channelsOf(colour);
  const least = (leastStep * maxOf(colour)) / 255;
  const stride = width * channels;
  for (let y = 1; y + 1 < height; y += rowStep) {
    const row = Math.floor(y / cellPx) * map.columns;
    for (let x = 1; x + 1 < width; x += 2) {
      const at = y * stride + x * channels;
      let across = 0;
      let down = 0;
      for (let c = at; c < at + channels; c++) {
        across = Math.max(across, Math.abs(data[c + channels] - data[c - channels]));
        down = Math.max(down, Math.abs(data[c + stride] - data[c - stride]));
      }
      if (across + down < least) continue;
      (across > down ? map.across : map.down)[row + (x >> 4)]++;
    }
  }
  return map;
}

/**
 * Places in each cell where line begins or ends, across and down.
 * @param size of the colour, whose cells they are
 */
export function lineEdges(line: Bitmap, size: SizePx): EdgeMap {
  const map = emptyMap(size);
  const words = new Uint32Array(line.bits.buffer, line.bits.byteOffset, line.bits.length >> 2);
  const inRow = line.rowBytes >> 2;
  const ratio = line.width / size.width;
  const step = Math.max(1, Math.round(rowStep * ratio));
  const columnOf = Uint16Array.from({ length: inRow }, (_, word) =>
    Math.min(map.columns - 1, Math.floor((word * 32 + 16) / ratio / cellPx)),
  );
  for (let y = 0; y + 1 < line.height; y += step) {
    const row = Math.min(map.rows - 1, Math.floor(y / ratio / cellPx)) * map.columns;
    const start = y * inRow;
    const below = Math.min(line.height - 1, y + step) * inRow;
    for (let at = 0; at < inRow; at++) {
      const word = words[start + at];
      const beneath = words[below + at];
      if (word === beneath && (word === 0 || word === -1 >>> 0)) continue;
      map.across[row + columnOf[at]] += bitsIn((word ^ (word >>> 1)) & 0x7fffffff);
      map.down[row + columnOf[at]] += bitsIn(word ^ beneath) / step;
    }
  }
  return map;
}

function bitsIn(word: number): number {
  let n = word - ((word >>> 1) & 0x55555555);
  n = (n & 0x33333333) + ((n >>> 2) & 0x33333333);
  return Math.imul((n + (n >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}

/** The mean of so many by so many pixels, for colour that is finer than is needed here. */
export function reduced(colour: Raster, times: number): Raster {
  const channels = channelsOf(colour);
  const [width, height] = [Math.floor(colour.width / times), Math.floor(colour.height / times)];
  const data = new Uint8Array(width * height * channels);
  const level = 255 / maxOf(colour) / (times * times);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width * channels; x++, i++) {
      const first =
        y * times * colour.width * channels + Math.floor(x / channels) * times * channels + (x % channels);
      let sum = 0;
      for (let down = 0; down < times; down++) {
        for (let across = 0; across < times; across++) {
          sum += colour.data[first + (down * colour.width + across) * channels];
        }
      }
      data[i] = sum * level;
    }
  }
  return { ...colour, width, height, data };
}
