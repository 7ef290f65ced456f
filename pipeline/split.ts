import type { HalfBox, HalfSide } from '../config/spread-halves.js';
import { halfPx } from '../config/spread-halves.js';
import type { PixelBox, SizePx } from '../config/units.js';
import { cutOut } from './kernels/edges.js';
import { cutBits } from './line/cut-bits.js';
import type { Bitmap } from './model/raster.js';
import type { Separation } from './model/separation.js';

/** Cuts a finished spread into its two single pages, number for number. */

/**
 * Where a half lies in a spread: from its outer bleed to its bleed at the fold. What lies past the fold is the other half's picture.
 * @param ppi the colour's or the line's
 */
export function halfBoxPx(spec: HalfBox, ppi: number, side: HalfSide): PixelBox {
  return { ...halfPx(spec, ppi, side), top: 0 };
}

/**
 * The inks of one half.
 * @param spread all inks of the spread, of one size
 * @param box within it
 * @returns planes in memory of their own
 */
export function splitSeparation(spread: Separation, box: PixelBox): Separation {
  const { width, height } = box;
  const inks = spread.inks.map(({ name, plane }) => ({ name, plane: splitPlane(plane, spread, box) }));
  return { width, height, inks };
}

/**
 * One ink of one half.
 * @param spread size of the spread
 */
export function splitPlane(plane: Uint8Array, spread: SizePx, box: PixelBox): Uint8Array {
  return cutOut(plane, 1, spread, box);
}

/** The line plate of one half, bit for bit. */
export function splitLine(line: Bitmap, box: PixelBox): Bitmap {
  return cutBits(line, box);
}
