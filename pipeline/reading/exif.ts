import { mmPerInch } from '../../config/units.js';
import type { StatedPpi } from '../model/raster.js';
import { bufferSource } from './byte-source.js';
import { dayOfTiff } from './stated-day.js';
import { asOrientation, type Orientation, plausible } from './stored-picture.js';
import { readTiff, type Tiff, type TiffDirectory, tiffNumber, tiffTag } from './tiff-directory.js';

/** What an EXIF block says about the picture it comes with. */
export interface ExifFacts {
  readonly orientation: Orientation;
  readonly ppi: StatedPpi | undefined;
  /** The day that it states; see stated-day.ts. */
  readonly statedDay: string | undefined;
}

const nothing: ExifFacts = { orientation: 1, ppi: undefined, statedDay: undefined };

/**
 * Orientation, resolution and day from an EXIF block, which is a small TIFF file of its own. A damaged block says nothing:
 * it is metadata, and the picture is whole without it.
 * @param block the TIFF structure, without the `Exif` mark of JPEG
 */
export async function exifFacts(block: Buffer | undefined, name: string): Promise<ExifFacts> {
  if (block === undefined) return nothing;
  try {
    const tiff = await readTiff(bufferSource(block, name));
    const directory = tiff.directories[0];
    return {
      orientation: asOrientation(await tiffNumber(tiff, directory, tiffTag.orientation, 1)),
      ppi: await tiffResolution(tiff, directory),
      statedDay: await dayOfTiff(tiff, directory),
    };
  } catch {
    return nothing;
  }
}

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
