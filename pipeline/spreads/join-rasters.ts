import { channelsOf, type Raster } from '../model/raster.js';
import type { Fold } from './half-layout.js';

/** Joining the pixels of two flat halves, number for number. */

/** Where the right half is taken from: as its size says, less what it was found to be off. */
export interface Moved {
  /** Whole pixels that the right half's picture lies to the right of its place, and below it. */
  readonly dxPx: number;
  readonly dyPx: number;
}

/** 255 x 257 is 65535. */
const to16 = 257;

/**
 * Lays two halves of one colour model beside each other. What reaches past the fold is cut away; beyond a picture its edge is
 * repeated. Where one half has alpha or 16 bit, the whole has.
 */
export function joinRasters(left: Raster, right: Raster, fold: Fold, moved: Moved): Raster {
  const isWide = left.data instanceof Uint16Array || right.data instanceof Uint16Array;
  const { model } = left;
  const alpha = left.alpha || right.alpha;
  const [one, other] = [left, right].map((half) => withForm(half, alpha, isWide));
  const { width, height, foldX, rightX, rightY } = fold;
  const channels = channelsOf({ model, alpha });
  const data = isWide
    ? new Uint16Array(width * height * channels)
    : new Uint8Array(width * height * channels);
  const joined: Raster = { width, height, model, alpha, data };
  lay(joined, one, { from: 0, to: foldX, x: 0, y: 0 });
  lay(joined, other, { from: foldX, to: width, x: rightX - moved.dxPx, y: rightY - moved.dyPx });
  return joined;
}

/** The same picture with alpha or with 16 bit, where it has not. */
function withForm(half: Raster, alpha: boolean, isWide: boolean): Raster {
  const needsAlpha = alpha && !half.alpha;
  const needsWidth = isWide && half.data instanceof Uint8Array;
  if (!needsAlpha && !needsWidth) return half;
  const channels = channelsOf(half);
  const wanted = channels + (needsAlpha ? 1 : 0);
  const length = half.width * half.height * wanted;
  const data = isWide ? new Uint16Array(length) : new Uint8Array(length);
  const scale = needsWidth ? to16 : 1;
  const opaque = isWide ? 65535 : 255;
  for (let from = 0, to = 0; to < length; ) {
    for (let c = 0; c < channels; c++) data[to++] = half.data[from++] * scale;
    if (needsAlpha) data[to++] = opaque;
  }
  return { ...half, alpha: half.alpha || needsAlpha, data };
}

/** Copies a picture into columns of another. @param place columns that are written, and where the picture's corner lies */
function lay(
  onto: Raster,
  { width, height, data, ...form }: Raster,
  { from, to, x, y }: { from: number; to: number; x: number; y: number },
): void {
  const channels = channelsOf(form);
  const first = Math.min(to - 1, Math.max(from, x));
  const behind = Math.max(first + 1, Math.min(to, x + width));
  for (let row = 0; row < onto.height; row++) {
    const source = Math.max(0, Math.min(height - 1, row - y)) * width - x;
    const target = row * onto.width;
    onto.data.set(
      data.subarray((source + first) * channels, (source + behind) * channels),
      (target + first) * channels,
    );
    for (let at = first - 1; at >= from; at--) repeat(onto, target + at, target + first, channels);
    for (let at = behind; at < to; at++) repeat(onto, target + at, target + behind - 1, channels);
  }
}

function repeat({ data }: Raster, to: number, from: number, channels: number): void {
  data.copyWithin(to * channels, from * channels, (from + 1) * channels);
}
