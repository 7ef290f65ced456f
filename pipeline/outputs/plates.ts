import type { Plate } from '../model/raster.js';
import { printingInks, processInkNames } from '../model/separation.js';
import { deliveredPages } from './delivered-pages.js';
import { extraPlateFiles } from './extra-plates.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** One plate of each ink that prints, the process inks first, then extra inks, without the line that overprints them. */
export const plates: PageProduct = {
  name: 'plates',
  roles: processInkNames,
  suffixOf: (ink) => `_${ink}.tif`,
  folder: 'plates',
  inBundle: true,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'baseName', 'spreads'],
  make: plateFiles,
};

async function plateFiles(context: OutputContext): Promise<MadeFile[]> {
  const { inks, request, arena } = context;
  const { encodePlate } = await import('../write.js');
  const { spec } = request.page;
  const ppi = spec.colourPpi;
  const { separation } = inks;
  const pages = deliveredPages(request).map(async (page) => {
    const size = page.sizeOf(separation, ppi);
    const process = printingInks(separation, spec.inks).map(({ name, plane }): MadeFile => {
      const plate = (): Plate => ({ ...size, data: page.planeOf(plane, separation) });
      return { role: name, of: page.of, size, ppi, encode: () => encodePlate(plate(), { ppi }, arena) };
    });
    return [...process, ...(await extraPlateFiles(context, page))];
  });
  return (await Promise.all(pages)).flat();
}
