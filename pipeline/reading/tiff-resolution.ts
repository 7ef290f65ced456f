import { mmPerInch } from '../../config/units.js';
import type { StatedPpi } from '../model/raster.js';
import { plausible } from './stored-picture.js';
import { type Tiff, type TiffDirectory, tiffNumber, tiffTag } from './tiff-directory.js';

/** Pixels per inch in one pixel per unit, by tag 296 (TIFF 6.0 page 38): 1 is no unit, 2 inch, 3 centimetre. */
const inchesPerUnit: Readonly<Record<number, number>> = { 2: 1, 3: mmPerInch / 10 };

/**
 * Resolution from tags 282, 283 and 296, also as EXIF blocks carry them.
 * @returns undefined where the file states none, states it without a unit, or states what cannot be meant
 */
export async function tiffResolution(tiff: Tiff, directory: TiffDirectory): Promise<StatedPpi | undefined> {
  const x = await tiffNumber(tiff, directory, tiffTag.xResolution, Number.NaN);
  const y = await tiffNumber(tiff, directory, tiffTag.yResolution, x);
  const factor = inchesPerUnit[await tiffNumber(tiff, directory, tiffTag.resolutionUnit, 2)];
  return factor === undefined ? undefined : plausible(tidy(x * factor), tidy(y * factor));
}

/** 118.11 pixels per centimetre are meant as 300 per inch: whole figures lose the noise of the conversion. */
function tidy(ppi: number): number {
  const whole = Math.round(ppi);
  return Math.abs(ppi - whole) < 0.01 ? whole : ppi;
}
