import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { Raster } from '../model/raster.js';
import { type PxBox, scaled } from './drawing.js';

/**
 * Where the trim lies on a picture of trim plus bleed: in its middle, to whole pixels.
 * @param picture size of the picture in pixels
 * @param ppi its pixels per inch
 */
export function trimBoxPx(
  picture: Pick<Raster, 'width' | 'height'>,
  spec: Pick<PrintSpec, 'trim'>,
  ppi: number,
): PxBox {
  const width = Math.min(picture.width, Math.round(mmToPx(spec.trim.widthMm, ppi)));
  const height = Math.min(picture.height, Math.round(mmToPx(spec.trim.heightMm, ppi)));
  return {
    left: Math.floor((picture.width - width) / 2),
    top: Math.floor((picture.height - height) / 2),
    width,
    height,
  };
}

/**
 * A small picture of a page for the contact sheet.
 * @param page soft-proofed page (rgb, 8 bit), width x height x 3
 * @param crop what to show of it, usually its trim (see trimBoxPx); undefined shows all
 * @param widthPx width of the small picture in pixels; the height follows the crop's aspect
 */
export async function thumbnailOf(page: Raster, widthPx: number, crop?: PxBox): Promise<Raster> {
  const area = crop ?? { left: 0, top: 0, width: page.width, height: page.height };
  return scaled(page, widthPx, Math.max(1, Math.round((widthPx * area.height) / area.width)), area);
}
