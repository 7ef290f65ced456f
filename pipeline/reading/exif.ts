import type { StatedPpi } from '../model/raster.js';
import { bufferSource } from './byte-source.js';
import { asOrientation, type Orientation } from './stored-picture.js';
import { readTiff, tiffNumber, tiffTag } from './tiff-directory.js';
import { tiffResolution } from './tiff-resolution.js';

export interface ExifFacts {
  readonly orientation: Orientation;
  readonly ppi: StatedPpi | undefined;
}

const nothing: ExifFacts = { orientation: 1, ppi: undefined };

/**
 * Orientation and resolution from an EXIF block, which is a small TIFF file of its own. A damaged block says nothing:
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
    };
  } catch {
    return nothing;
  }
}
