import type { SizePx } from '../../config/units.js';
import type { PdfFile } from './pdf-file.js';

/** Pictures for people in a PDF. */

/** A picture as JPEG, rgb. */
export interface JpegPicture extends SizePx {
  readonly jpeg: Uint8Array;
}

/** A JPEG as it is (ISO 32000-1 section 7.4.8), rgb. */
export function pictureObject(file: PdfFile, id: number, { width, height, jpeg }: JpegPicture): Uint8Array[] {
  const entries = {
    ...{ Type: '/XObject', Subtype: '/Image', Width: `${width}`, Height: `${height}` },
    ...{ ColorSpace: '/DeviceRGB', BitsPerComponent: '8', Filter: '/DCTDecode' },
  };
  return file.stream(id, entries, [jpeg]);
}
