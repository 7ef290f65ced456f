import { PlatehandError } from '../../config/errors.js';
import { figureBeside } from '../../config/figures.js';
import { channelsOf, type Raster } from '../model/raster.js';

/** What `read` refuses to take in, so that a lying or hostile file cannot exhaust the machine. */
export interface ReadLimits {
  /** Pixels of one picture or layer, width times height. */
  readonly maxPixels: number;
  /** Bytes of the file itself. */
  readonly maxFileBytes: number;
  /** Bytes of one decoded picture or layer. */
  readonly maxDecodedBytes: number;
  /** Pixels of all layers of a file together, one that is used twice counted twice. */
  readonly maxLayerPixels: number;
}

/**
 * 600 megapixels hold an A2 sheet of line art at 1200 ppi (557 megapixels); 4 GB is what a classic TIFF can address;
 * 2 GB hold those 600 megapixels in RGB; 12 gigapixels are 440 layers of 4350 x 6300 pixels (own choice: some minutes of work).
 */
export const defaultReadLimits: ReadLimits = {
  maxPixels: 600e6,
  maxFileBytes: 4 * 1024 ** 3,
  maxDecodedBytes: 2 * 1024 ** 3,
  maxLayerPixels: 12e9,
};

/**
 * Refuses a file by its size alone, before a byte of it is read.
 * @throws PlatehandError `picture-too-large`
 */
export function checkFileSize(bytes: number, file: string, limits: ReadLimits = defaultReadLimits): void {
  if (bytes <= limits.maxFileBytes) return;
  const mostMb = Math.floor(limits.maxFileBytes / 1e6);
  throw new PlatehandError(
    'picture-too-large',
    `the file has ${figureBeside(bytes / 1e6, mostMb, 0)} MB, more than the ${mostMb} MB that are taken in`,
    'Save it compressed, or at the size the page needs',
    { place: { file } },
  );
}

/**
 * Refuses a picture whose header asks for more than the limits allow, before anything is decoded.
 * @throws PlatehandError `picture-too-large`, or `picture-unreadable` for a picture without width or height
 */
export function checkPictureSize(
  stated: Pick<Raster, 'width' | 'height' | 'model' | 'alpha'> & { readonly bits: number },
  limits: ReadLimits,
  file: string,
): void {
  const { width, height } = stated;
  if (!(Number.isInteger(width) && Number.isInteger(height) && width > 0 && height > 0)) {
    throw new PlatehandError(
      'picture-unreadable',
      `its header states an impossible size, ${width} x ${height} pixels`,
      'Save it again, or copy it again in case the copy broke off',
      { place: { file } },
    );
  }
  const pixels = width * height;
  const bytes = pixels * channelsOf(stated) * (stated.bits > 8 ? 2 : 1);
  if (pixels <= limits.maxPixels && bytes <= limits.maxDecodedBytes) return;
  throw new PlatehandError(
    'picture-too-large',
    `its header states ${width} x ${height} pixels, more than the ${Math.round(limits.maxPixels / 1e6)} megapixels ` +
      `or ${Math.round(limits.maxDecodedBytes / 1e6)} MB decoded that are taken in`,
    'Save it at the size the page needs; if it is no such giant, the file is damaged: save it again',
    { place: { file } },
  );
}
