import type { Raster } from '../model/raster.js';
import type { MadeFile } from './product.js';

/** A picture for people as a PNG file. */
export function picture(role: string, raster: Raster, ppi: number): MadeFile {
  const encode = async () => {
    const { encodePicture } = await import('../write.js');
    return [await encodePicture(raster, { ppi, format: 'png' })];
  };
  return { role, size: raster, ppi, encode };
}
