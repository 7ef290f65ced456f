import type { SizePx } from '../../config/units.js';
import { printingInks } from '../model/separation.js';
import type { Heat } from '../views/heat-strip.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** Folder of the report's pictures in the job folder and in a bundle. */
const viewFolder = 'report/img';

/**
 * Small pictures for the report: the page as it prints, a strip of its plates, and a strip of heat pictures to be laid over it. They go
 * into a bundle with the report only.
 */
export const views: PageProduct = {
  name: 'views',
  roles: ['view', 'plates', 'heat'],
  suffixOf: (role) => (role === 'heat' ? '_heat.png' : `_${role}.jpg`),
  folder: viewFolder,
  deliveredWith: () => [],
  comesAlong: true,
  forStoppedPage: true,
  phase: 'proof',
  dependsOn: [...inkSettings, 'fidelity', 'checks', 'baseName', 'proofPpi', 'proofPaperWhite'],
  make: viewFiles,
};

async function viewFiles(context: OutputContext): Promise<MadeFile[]> {
  const { stripShare, stripSize, viewSize } = await import('../views/plate-strip.js');
  const proof = await context.proofInks();
  const size = viewSize(proof);
  const ppi = (context.request.page.spec.proofPpi * size.height) / proof.height;
  return [
    { role: 'view', size, ppi, encode: async () => [await viewOf(context, size)] },
    ...(await stripsOf(context, stripSize(size), ppi * stripShare)),
  ];
}

/** The page as it prints, without guides. */
async function viewOf({ softProof }: OutputContext, { width, height }: SizePx): Promise<Uint8Array> {
  const { default: sharp } = await import('sharp');
  const { viewQuality } = await import('../views/plate-strip.js');
  const page = await softProof();
  const raw = { raw: { width: page.width, height: page.height, channels: 3 as const } };
  const small = sharp(page.data, raw).resize(width, height, { fit: 'fill' });
  return small.jpeg({ quality: viewQuality }).toBuffer();
}

/** Plates and heat pictures: all are made from the process inks at the proof's resolution. */
async function stripsOf(context: OutputContext, size: SizePx, ppi: number): Promise<MadeFile[]> {
  const { plateStrip, smallPlanes } = await import('../views/plate-strip.js');
  const { heatStrip, inkMap } = await import('../views/heat-strip.js');
  const planes = smallPlanes(await context.proofInks(), size);
  const plates = await platesOf(context, planes, size);
  const heats: Heat[] = [
    { role: 'ink-coverage', map: inkMap(planes, size, ppi) },
    ...(await colourHeats(context)),
  ];
  const { width, height } = heats[0].map;
  return [
    {
      ...{ role: 'plates', ppi, size: { width: size.width, height: size.height * plates.length } },
      shows: plates.map(({ name }) => name),
      encode: async () => [
        await plateStrip(
          plates.map(({ data }) => data),
          size,
        ),
      ],
    },
    {
      ...{ role: 'heat', ppi: ppi / 2, size: { width, height: height * heats.length } },
      shows: heats.map(({ role }) => role),
      encode: async () => [heatStrip(heats, { width, height })],
    },
  ];
}

/** The line plate, the process inks as their plates hold them, and extra inks. */
async function platesOf({ inks, request }: OutputContext, planes: readonly Uint8Array[], size: SizePx) {
  const { smallPlate } = await import('../views/plate-strip.js');
  const { separation, composite, line, extras } = inks;
  const process = printingInks(separation, request.page.spec.inks).map(async ({ name, plane }) => {
    const ink = composite.inks.findIndex((one) => one.name === name);
    // Where the line prints over it, the black plate is not the composite's.
    const isOwn = plane !== composite.inks[ink].plane;
    const data = isOwn ? await smallPlate({ ...separation, data: plane }, size) : planes[ink];
    return { name, data };
  });
  const lines = line === undefined ? [] : [{ name: 'line', data: await smallPlate(line, size) }];
  const others = (extras ?? []).map(async ({ ink, plate }) => {
    return { name: ink.id, data: await smallPlate(plate, size) };
  });
  return [...lines, ...(await Promise.all([...process, ...others]))];
}

/** Where the press cannot follow the colour, and where print is not what was painted; nothing for pages that have no such places. */
async function colourHeats({ inks, request, separator, arena }: OutputContext): Promise<Heat[]> {
  const { painted, fidelity, gamut } = inks;
  const missed: Heat[] = gamut === undefined ? [] : [{ role: 'out-of-gamut', map: gamut }];
  if (painted === undefined || fidelity === undefined) return missed;
  const { fidelityMap } = await import('../views/fidelity-map.js');
  const map = fidelityMap({ ...inks, painted, fidelity }, request.page.spec, separator, arena);
  return [...missed, { role: 'fidelity', map }];
}
