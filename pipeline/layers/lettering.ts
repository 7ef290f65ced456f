import { type BlackTolerance, isBlack } from './black.js';
import { full16 } from './blend.js';
import { copyPixel, splitPixel } from './ink-split.js';
import { type Tile, tileSamples, tileSide } from './tiles.js';

/**
 * Splits a lettering layer into what is paint (balloons, captions, coloured sound effects) and what is black text and
 * outline. The text's soft edge follows the black that it belongs to, and the balloon's colour is carried on beneath
 * the text, so that a plate out of register shows balloon there and not the art below.
 */

/** How far a soft edge reaches from its black, in pixels; common practice, no published source. */
export const edgePx = 2;

/** Paint this close to the paint beside it, as a share of its brightness, is paint and no soft edge of black. */
const sameAsPaint = 0.98;

/** Rows of a layer as wide as the page, with `edgePx` rows more above and below: interleaved rgb and alpha, 16 bit. */
export interface Strip {
  readonly width: number;
  readonly rows: number;
  readonly pixels: Uint16Array;
}

/**
 * Splits one strip; the first and last `edgePx` rows are looked at but not written.
 *
 * @param paint as large as the strip's pixels, overwritten: the layer without its black
 * @param ink likewise: its black alone
 */
export function splitLettering(
  strip: Strip,
  tolerance: BlackTolerance,
  paint: Uint16Array,
  ink: Uint16Array,
): void {
  paint.set(strip.pixels);
  ink.fill(0);
  const black = findBlack(strip, tolerance);
  if (!black.includes(1)) return;
  const near = new Uint8Array(strip.width);
  for (let row = edgePx; row < strip.rows - edgePx; row++) {
    markNear(black, strip.width, row, near);
    let end = 0;
    for (let start = near.indexOf(1); start !== -1; start = near.indexOf(1, end)) {
      end = near.indexOf(0, start);
      if (end === -1) end = strip.width;
      splitRun(strip, row, start, end, tolerance, paint, ink);
    }
  }
}

/** Copies one tile out of a strip with its margin; says whether any pixel shows. */
export function cutTile(strip: Uint16Array, width: number, column: number, out: Tile): boolean {
  let shows = 0;
  for (let y = 0; y < tileSide; y++) {
    const from = ((y + edgePx) * width + column * tileSide) * 4;
    out.set(strip.subarray(from, from + tileSide * 4), y * tileSide * 4);
  }
  for (let i = 3; i < tileSamples; i += 4) shows |= out[i];
  return shows !== 0;
}

/** Which pixels of a strip are black, 1 or 0. */
function findBlack(strip: Strip, tolerance: BlackTolerance): Uint8Array {
  const { pixels } = strip;
  const black = new Uint8Array(pixels.length / 4);
  for (let pixel = 0, i = 0; pixel < black.length; pixel++, i += 4) {
    if (pixels[i + 3] === 0) continue;
    if (isBlack(pixels[i], pixels[i + 1], pixels[i + 2], tolerance)) black[pixel] = 1;
  }
  return black;
}

/** Marks the pixels of one row that are black or within `edgePx` of black, along both axes. */
function markNear(black: Uint8Array, width: number, row: number, near: Uint8Array): void {
  near.fill(0);
  for (let y = row - edgePx; y <= row + edgePx; y++) {
    const base = y * width;
    for (let x = 0; x < width; x++) {
      if (black[base + x] === 1) near.fill(1, Math.max(0, x - edgePx), x + edgePx + 1);
    }
  }
}

/** Splits the pixels from `start` to `end` of a row, between the paint on their left and the paint on their right. */
function splitRun(
  strip: Strip,
  row: number,
  start: number,
  end: number,
  tolerance: BlackTolerance,
  paint: Uint16Array,
  ink: Uint16Array,
): void {
  const { pixels, width } = strip;
  const base = row * width;
  const left = paintAt(pixels, (base + start - 1) * 4, start > 0);
  const right = paintAt(pixels, (base + end) * 4, end < width);
  for (let x = start; x < end; x++) {
    const i = (base + x) * 4;
    if (pixels[i + 3] === 0) continue;
    const nearLeft = x - start < end - 1 - x;
    const nearest = nearLeft ? left : right;
    if (isBlack(pixels[i], pixels[i + 1], pixels[i + 2], tolerance)) {
      copyPixel(pixels, i, ink);
      carryPaint(pixels, i, nearest, paint);
      continue;
    }
    const beside = nearest !== undefined ? nearest : nearLeft ? right : left;
    const share = shareOf(pixels, i, beside, tolerance);
    if (share < sameAsPaint) splitPixel(pixels, i, share, paint, ink);
  }
}

/** Where the paint beside a run stands; undefined where it is thin or the page ends. */
function paintAt(pixels: Uint16Array, i: number, onPage: boolean): number | undefined {
  return onPage && pixels[i + 3] > full16 / 2 ? i : undefined;
}

/** Puts the paint beside it beneath a black pixel. Thin black lets the art show, so nothing may lie beneath that. */
function carryPaint(pixels: Uint16Array, i: number, beside: number | undefined, paint: Uint16Array): void {
  if (beside === undefined || pixels[i + 3] !== full16) paint.fill(0, i, i + 4);
  else paint.set(pixels.subarray(beside, beside + 4), i);
}

/** How bright a pixel is beside its paint, 0 to 1; 1 where it is no mixture of that paint with black. */
function shareOf(
  pixels: Uint16Array,
  i: number,
  beside: number | undefined,
  tolerance: BlackTolerance,
): number {
  const red = beside === undefined ? full16 : pixels[beside];
  const green = beside === undefined ? full16 : pixels[beside + 1];
  const blue = beside === undefined ? full16 : pixels[beside + 2];
  const strength = red * red + green * green + blue * blue;
  if (strength === 0) return 1;
  const share = (pixels[i] * red + pixels[i + 1] * green + pixels[i + 2] * blue) / strength;
  const off = Math.max(
    Math.abs(pixels[i] - share * red),
    Math.abs(pixels[i + 1] - share * green),
    Math.abs(pixels[i + 2] - share * blue),
  );
  return off > tolerance.chroma || share <= 0 ? 1 : share;
}
