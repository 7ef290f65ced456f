import { picture } from './picture.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** Width of a single page's thumbnail, in pixels; spreads are twice as wide. Our own choice. */
const thumbnailWidthPx = 440;

/** The cut page in small, from which the contact sheet is drawn. */
export const thumbnail: PageProduct = {
  name: 'thumbnail',
  files: [{ role: 'thumbnail', suffix: '_thumbnail.png' }],
  folder: undefined,
  inBundle: false,
  forStoppedPage: true,
  phase: 'proof',
  dependsOn: [...inkSettings, 'page', 'baseName', 'proofPpi', 'proofPaperWhite'],
  make: thumbnailFile,
};

async function thumbnailFile({ request, softProof }: OutputContext): Promise<MadeFile[]> {
  const { thumbnailOf, trimBoxPx } = await import('../sheets/thumbnail.js');
  const { spec, numbers } = request.page;
  const ppi = spec.proofPpi;
  const page = await softProof();
  const width = thumbnailWidthPx * (numbers.length > 1 ? 2 : 1);
  return [picture('thumbnail', await thumbnailOf(page, width, trimBoxPx(page, spec, ppi)), ppi)];
}
