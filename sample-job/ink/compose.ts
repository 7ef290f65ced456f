import { rgbOf } from './colour.js';
import { type Sheet, softStep } from './sheet.js';

/** Which of the soft maps go into a picture. */
export interface Mixing {
  readonly shadow: boolean;
  readonly glow: boolean;
  readonly sparks: boolean;
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
    readRow(affine, sheet.soft.grid.width, sheet.soft.grid.height, y, rowLow);
    mixRow(sheet, y, rowLow, out, unit);
    if (mixing.inks) paintInks(sheet, y, out);
    if (mixing.letters) paintLetters(sheet, y, out, unit, letters);
  }
  return out;
}

/** Gain and lift for red, green and blue, six values a place; lift in units of the output. */
function affineOf(sheet: Sheet, mixing: Mixing, unit: number): Float32Array {
  const { wash, shadow, glow, sparks, size } = sheet.soft;
  const affine = new Float32Array(size * 6);
  const full = 255 * unit;
  for (let i = 0; i < size; i++) {
    const keep = 1 - wash[i * 4 + 3];
    for (let c = 0; c < 3; c++) {
      const dark = mixing.shadow ? shadow[i * 3 + c] : 1;
      const lit = mixing.glow ? glow[i * 3 + c] : 0;
      const spark = mixing.sparks ? sparks[i * 3 + c] : 0;
      affine[i * 6 + c] = keep * dark * (1 - lit) * unit;
      affine[i * 6 + 3 + c] = (wash[i * 4 + c] * dark * (1 - lit) + lit + spark) * full;
    }
  }
  return affine;
}

/** Reads the row of the small map that belongs to a full-size row, between its two nearest rows. */
function readRow(map: Float32Array, width: number, height: number, y: number, out: Float32Array): void {
  const place = Math.max(0, (y + 0.5) / softStep - 0.5);
  const upper = Math.min(height - 1, Math.floor(place));
  const lower = Math.min(height - 1, upper + 1);
  const t = place - upper;
  const a = upper * width * 6;
  const b = lower * width * 6;
  for (let i = 0; i < width * 6; i++) out[i] = map[a + i] + (map[b + i] - map[a + i]) * t;
}

function mixRow(sheet: Sheet, y: number, low: Float32Array, out: Uint8Array | Uint16Array, unit: number): void {
  const { width } = sheet.grid;
  const last = sheet.soft.grid.width - 1;
  const start = y * width;
  const full = 255 * unit;
  for (let x = 0; x < width; x++) {
    const colour = sheet.flats[start + x];
    const o = (start + x) * 3;
    if (colour === 0xffffff) {
      out[o] = out[o + 1] = out[o + 2] = full;
      continue;
    }
    const place = Math.max(0, (x + 0.5) / softStep - 0.5);
    const left = Math.min(last, place | 0);
    const t = place - left;
    const i = left * 6;
    const j = left < last ? i + 6 : i;
    const r = (colour >> 16) * (low[i] + (low[j] - low[i]) * t) + low[i + 3] + (low[j + 3] - low[i + 3]) * t;
    const g = ((colour >> 8) & 255) * (low[i + 1] + (low[j + 1] - low[i + 1]) * t) + low[i + 4] + (low[j + 4] - low[i + 4]) * t;
    const b = (colour & 255) * (low[i + 2] + (low[j + 2] - low[i + 2]) * t) + low[i + 5] + (low[j + 5] - low[i + 5]) * t;
    out[o] = r > full ? full : r + 0.5;
    out[o + 1] = g > full ? full : g + 0.5;
    out[o + 2] = b > full ? full : b + 0.5;
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
