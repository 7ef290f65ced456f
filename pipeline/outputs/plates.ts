import type { Plate } from '../model/raster.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

const roles = ['cyan', 'magenta', 'yellow', 'black'] as const;

/** One plate of each process ink, without the line that overprints them. */
export const plates: PageProduct = {
  name: 'plates',
  files: roles.map((role) => ({ role, suffix: `_${role}.tif` })),
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
  return roles.map((role) => {
    const plate: Plate = { width, height, data: inks.separation[role] };
    return { role, size: plate, ppi, encode: () => encodePlate(plate, { ppi }, arena) };
  });
}
