import type { Plate } from '../model/raster.js';
import { processInkNames } from '../model/separation.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** One plate of each ink, the process inks first, without the line that overprints them. */
export const plates: PageProduct = {
  name: 'plates',
  roles: processInkNames,
  suffixOf: (ink) => `_${ink}.tif`,
  folder: 'plates',
  inBundle: true,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'baseName'],
  make: plateFiles,
};

async function plateFiles({ inks, request, arena }: OutputContext): Promise<MadeFile[]> {
  const { encodePlate } = await import('../write.js');
  const ppi = request.page.spec.colourPpi;
  const { width, height } = inks.separation;
  return inks.separation.inks.map(({ name, plane }) => {
    const plate: Plate = { width, height, data: plane };
    return { role: name, size: plate, ppi, encode: () => encodePlate(plate, { ppi }, arena) };
  });
}
