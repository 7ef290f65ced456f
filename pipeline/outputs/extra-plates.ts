import type { Raster } from '../model/raster.js';
import type { InkLayer, InkPicture } from '../pdf/ink-layers.js';
import type { LegendInk } from '../sheets/proof-guides.js';
import type { DeliveredPage } from './delivered-pages.js';
import type { MadeFile, OutputContext } from './product.js';

/** Extra inks in the products of a page: as plates, in its PDF, and on what is shown of it. */

const percent = 100;

/** The plates of a page's extra inks. */
export async function extraPlateFiles(
  { inks, request, arena }: OutputContext,
  page: DeliveredPage,
): Promise<MadeFile[]> {
  const { encodeLinePlate, encodePlate } = await import('../write.js');
  const { colourPpi, linePpi } = request.page.spec;
  return (inks.extras ?? []).map(({ ink, plate }): MadeFile => {
    const file = { role: ink.id, of: page.of };
    if ('bits' in plate) {
      const encode = () => encodeLinePlate(page.lineOf(plate), { ppi: linePpi });
      return { ...file, size: page.sizeOf(plate, linePpi), ppi: linePpi, encode };
    }
    const size = page.sizeOf(plate, colourPpi);
    const encode = () =>
      encodePlate({ ...size, data: page.planeOf(plate.data, plate) }, { ppi: colourPpi }, arena);
    return { ...file, size, ppi: colourPpi, encode };
  });
}

/** The extra inks of a page as layers of its PDF. */
export async function extraLayers(
  { inks, request, arena }: OutputContext,
  page: DeliveredPage,
): Promise<(InkLayer | InkPicture)[]> {
  const { packG4 } = await import('../files/fax-g4.js');
  const { joined } = await import('../files/joined-deflate.js');
  const { plateStrips } = await import('../write.js');
  const { colourPpi, linePpi } = request.page.spec;
  const layers = (inks.extras ?? []).map(async ({ ink, plate }) => {
    const [cyan, magenta, yellow, black] = ink.shownAs.map((amount) => amount / percent);
    const named = { ink: ink.name, shownAs: [cyan, magenta, yellow, black] } as const;
    if ('bits' in plate) {
      const own = page.lineOf(plate);
      const size = { width: own.width, height: own.height };
      return { ...named, size, ppi: linePpi, packed: packG4(own) };
    }
    const size = page.sizeOf(plate, colourPpi);
    const strips = plateStrips({ ...size, data: page.planeOf(plate.data, plate) }, arena);
    return { ...named, size, ppi: colourPpi, pieces: joined(await strips.streams()) };
  });
  return Promise.all(layers);
}

/** The extra inks of a page, for the legend of its proof. */
export function shownInks({ inks, request, separator, arena }: OutputContext): LegendInk[] {
  const { proofPaperWhite: paperWhite } = request.page.spec;
  return (inks.extras ?? []).map(({ ink: { name, shownAs, overprints } }) => {
    const data = Uint8Array.from(shownAs, (amount) => Math.round((amount * 255) / percent));
    const one: Raster = { width: 1, height: 1, model: 'cmyk', alpha: false, data };
    const [red, green, blue] = separator.softProof(one, { paperWhite }, arena).data;
    return { words: `${name}, ${overprints ? 'overprints' : 'knocks out'}`, rgb: [red, green, blue] };
  });
}
