import type { Plate } from '../model/raster.js';
import { printingInks, processInkNames } from '../model/separation.js';
import { plateWithLine } from './black-with-line.js';
import { deliveredPages } from './delivered-pages.js';
import { extraPlateFiles } from './extra-plates.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/**
 * One plate of each ink that prints, the process inks first, then extra inks, without the line that overprints them unless the job wants
 * it in the black plate, which is then as fine as the line.
 */
export const plates: PageProduct = {
  name: 'plates',
  roles: processInkNames,
  suffixOf: (ink) => `_${ink}.tif`,
  folder: 'plates',
  // What is no process ink is in no composite either: its plate belongs to it.
  deliveredWith: (role) => (isProcessInk(role) ? ['plates'] : ['plates', 'composite']),
  comesAlong: false,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'blackPlate', 'baseName', 'spreads'],
  make: plateFiles,
};

async function plateFiles(context: OutputContext): Promise<MadeFile[]> {
  const { encodePlate } = await import('../write.js');
  const { inks, request, arena } = context;
  const { spec } = request.page;
  const { separation, line } = inks;
  const size = { width: separation.width, height: separation.height };
  const pages = deliveredPages(request).map(async (page) => {
    const process = printingInks(separation, spec.inks).map(({ name, plane }): MadeFile => {
      const plate = (): Plate => ({ ...page.sizeOf(size, spec.colourPpi), data: page.planeOf(plane, size) });
      const holdsLine = name === 'black' && spec.blackPlate === 'withLine' && line !== undefined;
      const ppi = holdsLine ? spec.linePpi : spec.colourPpi;
      const whole = (): Plate => (holdsLine ? plateWithLine(plate(), page.lineOf(line)) : plate());
      const encode = () => encodePlate(whole(), { ppi }, arena);
      return { role: name, of: page.of, size: page.sizeOf(holdsLine ? line : size, ppi), ppi, encode };
    });
    return [...process, ...(await extraPlateFiles(context, page))];
  });
  return (await Promise.all(pages)).flat();
}

function isProcessInk(role: string): boolean {
  return processInkNames.some((name) => name === role);
}
