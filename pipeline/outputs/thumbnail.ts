import { trimBoxPx } from '../../config/print-spec.js';
import type { Raster } from '../model/raster.js';
import { type MadeFile, type OutputContext, type PageProduct, picture } from './product.js';
import { inkSettings } from './settings.js';

/** Width of a single page's thumbnail, in pixels; spreads are twice as wide. Our own choice. */
const thumbnailWidthPx = 440;

/** The cut page in small, from which the contact sheet is drawn. */
export const thumbnail: PageProduct = {
  name: 'thumbnail',
  roles: ['thumbnail'],
  suffixOf: (role) => `_${role}.png`,
  folder: undefined,
  deliveredWith: () => [],
  comesAlong: true,
  forStoppedPage: true,
  phase: 'proof',
  dependsOn: [...inkSettings, 'page', 'baseName', 'proofPpi', 'proofPaperWhite'],
  make: thumbnailFile,
};

async function thumbnailFile({ request, softProof }: OutputContext): Promise<MadeFile[]> {
  const { spec, numbers } = request.page;
  const ppi = spec.proofPpi;
  const page = await softProof();
  const width = thumbnailWidthPx * (numbers.length > 1 ? 2 : 1);
  return [picture('thumbnail', await thumbnailOf(page, width, trimBoxPx(page, spec, ppi)), ppi)];
}

/**
 * A small picture of a page for the contact sheet.
 * @param page soft-proofed page (rgb, 8 bit), width x height x 3
 * @param crop what to show of it, usually its trim (see trimBoxPx); undefined shows all
 * @param widthPx width of the small picture in pixels; the height follows the crop's aspect
 */
export async function thumbnailOf(
  page: Raster,
  widthPx: number,
  crop?: ReturnType<typeof trimBoxPx>,
): Promise<Raster> {
  const area = crop ?? { left: 0, top: 0, width: page.width, height: page.height };
  const { scaled } = await import('../sheets/drawing.js');
  return scaled(page, widthPx, Math.max(1, Math.round((widthPx * area.height) / area.width)), area);
}
