import { cutOut, type PixelBox } from './kernels/edges.js';
import { cutBits } from './line/cut-bits.js';
import type { Bitmap } from './model/raster.js';
import type { Separation } from './model/separation.js';

/**
 * Cuts the inks of one half out of a spread, number for number.
 * @param box within the spread, from the outer bleed to the bleed at the fold: what lies past the fold is the other half's picture
 */
export function splitSeparation(spread: Separation, box: PixelBox): Separation {
  const { width, height } = box;
  const inks = spread.inks.map(({ name, plane }) => ({ name, plane: cutOut(plane, 1, spread, box) }));
  return { width, height, inks };
}

/** The same of one ink. */
export function splitPlane(
  plane: Uint8Array,
  spread: Pick<Separation, 'width' | 'height'>,
  box: PixelBox,
): Uint8Array {
  return cutOut(plane, 1, spread, box);
}

/** The same of the line plate, bit for bit. */
export function splitLine(line: Bitmap, box: PixelBox): Bitmap {
  return cutBits(line, box);
}
