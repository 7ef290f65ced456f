import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** The composite, and the line plate of a page that has line. */
export const press: PageProduct = {
  name: 'press',
  roles: ['composite', 'line'],
  suffixOf: (role) => (role === 'composite' ? '.tif' : `_${role}.tif`),
  folder: 'press',
  inBundle: true,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'baseName'],
  make: pressFiles,
};

async function pressFiles({ inks, press: { profile }, request, arena }: OutputContext): Promise<MadeFile[]> {
  const { encodeComposite, encodeLinePlate } = await import('../write.js');
  const { colourPpi, linePpi } = request.page.spec;
  const { composite, line } = inks;
  const made: MadeFile[] = [
    {
      role: 'composite',
      size: composite,
      ppi: colourPpi,
      encode: () => encodeComposite(composite, { ppi: colourPpi, profile }, arena),
    },
  ];
  if (line !== undefined) {
    const encode = () => encodeLinePlate(line, { ppi: linePpi });
    made.push({ role: 'line', size: line, ppi: linePpi, encode });
  }
  return made;
}
