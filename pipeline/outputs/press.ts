import { isBlackOnly } from '../../config/print-spec.js';
import { deliveredPages } from './delivered-pages.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** The composite, and the line plate of a page that has line; of a spread as it is delivered. */
export const press: PageProduct = {
  name: 'press',
  roles: ['composite', 'line'],
  suffixOf: (role) => (role === 'composite' ? '.tif' : `_${role}.tif`),
  folder: 'press',
  inBundle: true,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'baseName', 'spreads'],
  make: pressFiles,
};

async function pressFiles(context: OutputContext): Promise<MadeFile[]> {
  const { encodeBlackComposite, encodeComposite, encodeLinePlate } = await import('../write.js');
  const { inks: made, press, request, arena } = context;
  const { spec } = request.page;
  const { colourPpi, linePpi } = spec;
  const { profile } = press;
  const { composite, line } = made;
  return deliveredPages(request).flatMap((page): MadeFile[] => {
    const { of } = page;
    const size = page.sizeOf(composite, colourPpi);
    const options = { ppi: colourPpi, profile };
    const encode = () => {
      const inks = page.inksOf(composite);
      return isBlackOnly(spec)
        ? encodeBlackComposite(inks, options, arena)
        : encodeComposite(inks, options, arena);
    };
    const whole: MadeFile = { role: 'composite', of, size, ppi: colourPpi, encode };
    if (line === undefined) return [whole];
    const encodeLine = () => encodeLinePlate(page.lineOf(line), { ppi: linePpi });
    return [whole, { role: 'line', of, size: page.sizeOf(line, linePpi), ppi: linePpi, encode: encodeLine }];
  });
}
