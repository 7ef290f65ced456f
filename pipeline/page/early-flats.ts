import { halvesOf } from '../../config/job-file/naming.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { type InspectedFlats, inspectFlats, lineOf } from '../inspect-flats.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { PageRequest, RequestedFile } from '../model/page-request.js';
import type { OutputFile, PageResult } from '../model/page-result.js';
import type { Raster } from '../model/raster.js';
import type { HalfPage } from '../outputs/delivered-pages.js';
import { writeMade } from '../outputs/make-outputs.js';
import { picture as pictureFile } from '../outputs/product.js';
import { pageProducts } from '../outputs/products.js';
import { readFile } from '../read.js';
import { findingsOf } from './result-of.js';

/** Flats, and what of their page they are. */
interface PlacedFlats {
  readonly file: RequestedFile;
  /** The print spec of what they show: of one page where they are half of a spread. */
  readonly spec: PrintSpec;
  /** The single page that they are; undefined for the page itself. */
  readonly of: HalfPage | undefined;
  /** What a place on them is off on the page, in millimetres to the right. */
  readonly rightMm: number;
  /** The ink that lies over them; of half a spread there is none by itself. */
  readonly line: RequestedFile | undefined;
}

/** What became of flats. */
interface SeenFlats {
  readonly noticed: readonly Noticed[];
  /** The picture for whoever laid them; undefined for flats of which nothing was noticed, or where none is asked for. */
  readonly picture: OutputFile | undefined;
}

/**
 * Adds to the result of a page that waits what its flats show: findings, and a picture for whoever laid them.
 * @param request with its outFolder, where the picture goes
 * @param arena nothing of the page stands there any more
 */
export async function withFlats(
  result: PageResult,
  request: PageRequest,
  arena: PageArena,
): Promise<PageResult> {
  const noticed: Noticed[] = [];
  const outputs = [...result.outputs];
  for (const flats of placedFlats(request)) {
    arena.reset();
    const seen = await lookAt(flats, request, arena);
    noticed.push(...seen.noticed);
    if (seen.picture !== undefined) outputs.push(seen.picture);
  }
  return { ...result, findings: [...result.findings, ...findingsOf(request, noticed)], outputs };
}

function placedFlats({ files, page, halfNames = [] }: PageRequest): PlacedFlats[] {
  const own = files.filter(({ part }) => part === 'flats');
  const { spec } = page;
  const widthMm = spec.trim.widthMm / 2;
  const half = { ...spec, trim: { ...spec.trim, widthMm } };
  const [, right] = halvesOf(page);
  return own.map((file) => {
    if (file.half === undefined) {
      const line = files.find(({ part, half }) => part === 'line' && half === undefined);
      return { file, spec, of: undefined, rightMm: 0, line };
    }
    const isRight = right?.numbers[0] === file.half;
    const of = { half: file.half, baseName: halfNames[isRight ? 1 : 0] };
    return { file, spec: half, of, rightMm: isRight ? widthMm : 0, line: undefined };
  });
}

async function lookAt(flats: PlacedFlats, request: PageRequest, arena: PageArena): Promise<SeenFlats> {
  const { file, spec, rightMm, line } = flats;
  const unread: Noticed[] = [];
  const picture = await readFile(file, undefined, unread, undefined, arena);
  if (picture === undefined) return { noticed: unread, picture: undefined };
  if (picture.kind === 'layered') return { noticed: [layered(file.name)], picture: undefined };
  const ink = line && (await readFile(line, undefined, [], undefined, arena));
  const over = ink?.kind === 'flat' ? { pixels: lineOf(ink, spec, arena), ppi: ink.ppi } : undefined;
  const on = { spec, units: request.units };
  const inspected = inspectFlats({ pixels: picture.raster, ppi: picture.ppi }, over, on, arena);
  const noticed = inspected.noticed.map((one) => movedRight({ file: file.name, ...one }, rightMm));
  return { noticed, picture: await drawn(picture.raster, inspected, flats, request, arena) };
}

/** The picture for whoever laid the flats, where something was noticed on them. */
async function drawn(
  raster: Raster,
  inspected: InspectedFlats,
  { file, spec, of }: PlacedFlats,
  { issue, page, products, outFolder, baseName }: PageRequest,
  arena: PageArena,
): Promise<OutputFile | undefined> {
  if (outFolder === undefined || !products.includes('proof') || inspected.noticed.length === 0)
    return undefined;
  const title = `${issue}, page ${of?.half ?? page.id}`;
  const { drawFlatsReport } = await import('../flats-report.js');
  const report = await drawFlatsReport(raster, inspected, { title, file: file.name, spec }, arena);
  const made = { ...pictureFile('flats-report', report, spec.proofPpi), of };
  return writeMade(pageProducts.proof, made, outFolder, baseName);
}

/** Places on the right half of a spread, as places on the spread. */
function movedRight(noticed: Noticed, rightMm: number): Noticed {
  if (noticed.places === undefined || rightMm === 0) return noticed;
  const shown = noticed.places.shown.map((place) => ({ ...place, xMm: place.xMm + rightMm }));
  return { ...noticed, places: { ...noticed.places, shown } };
}

function layered(file: string): Noticed {
  return {
    code: 'flats-layered',
    severity: 'note',
    message: 'Flats in layers are not inspected',
    remedy: 'Send them as one flat picture to have them looked at.',
    file,
  };
}
