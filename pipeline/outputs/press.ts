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
  deliveredWith: (role) => [role === 'line' ? 'line' : 'composite'],
  comesAlong: false,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'baseName', 'spreads'],
  make: pressFiles,
};

async function pressFiles(context: OutputContext): Promise<MadeFile[]> {
  const { encodePackedBlackComposite, encodePackedComposite, encodePackedLine } = await import('../write.js');
  const { inks: made, press, request, packed } = context;
  const { spec } = request.page;
  const { colourPpi, linePpi } = spec;
  const { profile } = press;
  const { composite, line } = made;
  return deliveredPages(request).flatMap((page): MadeFile[] => {
    const { of } = page;
    const size = page.sizeOf(composite, colourPpi);
    const encode = async () => {
      const strips = await packed.composite(page);
      return isBlackOnly(spec)
        ? encodePackedBlackComposite(strips, { ppi: colourPpi })
        : encodePackedComposite(strips, { ppi: colourPpi, profile });
    };
    const whole: MadeFile = { role: 'composite', of, size, ppi: colourPpi, encode };
    if (line === undefined) return [whole];
    const encodeLine = async () => encodePackedLine(await packed.line(page, line), { ppi: linePpi });
    return [whole, { role: 'line', of, size: page.sizeOf(line, linePpi), ppi: linePpi, encode: encodeLine }];
  });
}
