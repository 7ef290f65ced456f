import { rgbOf } from './colour.js';
import type { Grid } from './region.js';
import { type Sheet, softStep } from './sheet.js';

/** Which of the soft maps go into a picture. */
export interface Mixing {
  readonly shadow: boolean;
  readonly glow: boolean;
  readonly sparks: boolean;
  readonly rims: boolean;
  /** Paint the white of the balloons, and the letters' colours, into the picture. */
  readonly letters: boolean;
  /** Paint the black inks into the picture. */
  readonly inks: boolean;
}

/**
 * Mixes flats and soft maps to one RGB picture of 8 bit, or of 16 bit, where the finer steps of the soft maps survive.
 * At each place the soft maps come down to `flat x gain + lift`, which is worked out small and read between.
 */
export function mixColour(sheet: Sheet, mixing: Mixing, bits: 8 | 16): Uint8Array | Uint16Array {
  const { width, height } = sheet.grid;
  const out = bits === 8 ? new Uint8Array(width * height * 3) : new Uint16Array(width * height * 3);
  const unit = bits === 8 ? 1 : 257;
  const affine = affineOf(sheet, mixing, unit);
  const rowLow = new Float32Array(sheet.soft.grid.width * 6);
  const letters = sheet.letterColours.map(rgbOf);
  for (let y = 0; y < height; y++) {
    readRow(affine, sheet.soft.grid, 6, y, rowLow);
    mixRow(sheet, y, rowLow, out, unit);
    if (mixing.inks) paintInks(sheet, y, out);
    if (mixing.letters) paintLetters(sheet, y, out, unit, letters);
  }
  return out;
}

/** Gain and lift for red, green and blue, six values a place; lift in units of the output. */
function affineOf(sheet: Sheet, mixing: Mixing, unit: number): Float32Array {
  const { wash, shadow, glow, sparks, rims, size } = sheet.soft;
  const affine = new Float32Array(size * 6);
  const full = 255 * unit;
  for (let i = 0; i < size; i++) {
    const keep = 1 - wash[i * 4 + 3];
    const open = mixing.rims ? 1 - rims[i * 4 + 3] : 1;
    for (let c = 0; c < 3; c++) {
      const dark = mixing.shadow ? shadow[i * 3 + c] : 1;
      const lit = mixing.glow ? glow[i * 3 + c] : 0;
      const spark = mixing.sparks ? sparks[i * 3 + c] : 0;
      const rim = mixing.rims ? rims[i * 4 + c] : 0;
      affine[i * 6 + c] = keep * dark * (1 - lit) * open * unit;
      affine[i * 6 + 3 + c] = ((wash[i * 4 + c] * dark * (1 - lit) + lit + spark) * open + rim) * full;
    }
  }
  return affine;
}

/** Reads the row of a small map that belongs to a full-size row, between its two nearest rows. */
function readRow(
  map: Float32Array,
  { width, height }: Grid,
  channels: number,
  y: number,
  out: Float32Array,
): void {
  const place = Math.max(0, (y + 0.5) / softStep - 0.5);
  const upper = Math.min(height - 1, Math.floor(place));
  const lower = Math.min(height - 1, upper + 1);
  const t = place - upper;
  const a = upper * width * channels;
  const b = lower * width * channels;
  for (let i = 0; i < width * channels; i++) out[i] = map[a + i] + (map[b + i] - map[a + i]) * t;
}

/** One soft map at full size: 8 bit RGB, read between its values. `shadow` multiplies, `glow` screens, `sparks` add. */
export function softPicture(sheet: Sheet, kind: 'shadow' | 'glow' | 'sparks'): Uint8Array {
  return fullSize(sheet, sheet.soft[kind], 3);
}

/** The rims of light at full size: 8 bit RGB with straight alpha. */
export function rimPicture(sheet: Sheet): Uint8Array {
  const out = fullSize(sheet, sheet.soft.rims, 4);
  for (let at = 0; at < out.length; at += 4) {
    const alpha = out[at + 3] / 255;
    for (let c = at; c < at + 3; c++) out[c] = alpha > 0 ? Math.min(255, out[c] / alpha + 0.5) : 0;
  }
  return out;
}

/** A soft map of some channels, read between its values for every pixel of the page. */
function fullSize(sheet: Sheet, map: Float32Array, channels: 3 | 4): Uint8Array {
  const { width, height } = sheet.grid;
  const out = new Uint8Array(width * height * channels);
  const row = new Float32Array(sheet.soft.grid.width * channels);
  const places = placesBetween(width, sheet.soft.grid.width);
  for (let y = 0; y < height; y++) {
    readRow(map, sheet.soft.grid, channels, y, row);
    // Light leaves most rows of a page as they are.
    if (holdsLight(row)) stretchRow(row, places, channels, out, y * width * channels);
  }
  return out;
}

/** A plain loop: it runs for every row of the page. */
function holdsLight(row: Float32Array): boolean {
  for (let i = 0; i < row.length; i++) if (row[i] > 0) return true;
  return false;
}

/** For each pixel of a row, the place of the small map to its left, and how far it lies on the way to the next. */
interface Places {
  readonly left: Int32Array;
  readonly share: Float64Array;
  readonly last: number;
}

function placesBetween(width: number, lowWidth: number): Places {
  const place = (x: number): number => Math.max(0, (x + 0.5) / softStep - 0.5);
  const last = lowWidth - 1;
  const left = Int32Array.from({ length: width }, (_, x) => Math.min(last, Math.floor(place(x))));
  const share = Float64Array.from({ length: width }, (_, x) => place(x) - Math.floor(place(x)));
  return { left, share, last };
}

function stretchRow(
  row: Float32Array,
  { left, share, last }: Places,
  channels: number,
  out: Uint8Array,
  at: number,
): void {
  let o = at;
  for (let x = 0; x < left.length; x++) {
    const i = left[x] * channels;
    const step = left[x] < last ? channels : 0;
    const t = share[x];
    for (let c = i; c < i + channels; c++) {
      const value = 255 * (row[c] + (row[c + step] - row[c]) * t) + 0.5;
      out[o++] = Math.min(255, value);
    }
  }
}

/**
 * One row, cell by cell of the small map: from the middle of one cell to the middle of the next, gain and lift change
 * by even steps, so a pixel costs additions instead of a reading between two values.
 */
function mixRow(
  sheet: Sheet,
  y: number,
  low: Float32Array,
  out: Uint8Array | Uint16Array,
  unit: number,
): void {
  const { width } = sheet.grid;
  const { flats } = sheet;
  const last = sheet.soft.grid.width - 1;
  const start = y * width;
  const full = 255 * unit;
  const half = softStep / 2;
  for (let cell = -1; cell <= last; cell++) {
    const i = Math.max(0, cell) * 6;
    const j = Math.min(last, cell + 1) * 6;
    const first = cell * softStep + half;
    const to = Math.min(width, first + softStep);
    for (let x = Math.max(0, first); x < to; x++) {
      const colour = flats[start + x];
      const o = (start + x) * 3;
      if (colour === 0xffffff) {
        out[o] = out[o + 1] = out[o + 2] = full;
        continue;
      }
      const t = (x - first + 0.5) / softStep;
      const u = 1 - t;
      const r = (colour >> 16) * (low[i] * u + low[j] * t) + low[i + 3] * u + low[j + 3] * t + 0.5;
      const g =
        ((colour >> 8) & 255) * (low[i + 1] * u + low[j + 1] * t) + low[i + 4] * u + low[j + 4] * t + 0.5;
      const b = (colour & 255) * (low[i + 2] * u + low[j + 2] * t) + low[i + 5] * u + low[j + 5] * t + 0.5;
      out[o] = Math.min(r, full);
      out[o + 1] = Math.min(g, full);
      out[o + 2] = Math.min(b, full);
    }
  }
}

function paintInks(sheet: Sheet, y: number, out: Uint8Array | Uint16Array): void {
  const { width } = sheet.grid;
  for (let at = y * width; at < (y + 1) * width; at++)
    if (sheet.ink[at] === 0) out[at * 3] = out[at * 3 + 1] = out[at * 3 + 2] = 0;
}

function paintLetters(
  sheet: Sheet,
  y: number,
  out: Uint8Array | Uint16Array,
  unit: number,
  colours: readonly (readonly [number, number, number])[],
): void {
  const { width } = sheet.grid;
  for (let at = y * width; at < (y + 1) * width; at++) {
    const index = sheet.letters[at];
    if (index === 0) continue;
    const [r, g, b] = colours[index - 1];
    out[at * 3] = r * unit;
    out[at * 3 + 1] = g * unit;
    out[at * 3 + 2] = b * unit;
  }
}

/** The line picture: the inks, with the lettering burnt in where `lettered`. 0 ink, 255 paper. */
export function linePicture(sheet: Sheet, lettered: boolean): Uint8Array {
  if (!lettered) return sheet.ink;
  const out = sheet.ink.slice();
  for (let at = 0; at < out.length; at++) {
    const index = sheet.letters[at];
    if (index > 0) out[at] = index === 1 ? 0 : 255;
  }
  return out;
}
