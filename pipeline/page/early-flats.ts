import { halvesOf } from '../../config/job-file/naming.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { inspectFlats, lineOf } from '../inspect-flats.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { PageRequest, RequestedFile } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import { readFile } from '../read.js';
import { findingsOf } from './result-of.js';

/** Flats, and what of their page they are. */
interface PlacedFlats {
  readonly file: RequestedFile;
  /** The print spec of what they show: of one page where they are half of a spread. */
  readonly spec: PrintSpec;
  /** What a place on them is off on the page, in millimetres to the right. */
  readonly rightMm: number;
  /** The ink that lies over them; of half a spread there is none by itself. */
  readonly line: RequestedFile | undefined;
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
  for (const flats of placedFlats(request)) {
    arena.reset();
    noticed.push(...(await noticeOn(flats, request, arena)));
  }
  return { ...result, findings: [...result.findings, ...findingsOf(request, noticed)] };
}

function placedFlats({ files, page }: PageRequest): PlacedFlats[] {
  const own = files.filter(({ part }) => part === 'flats');
  const { spec } = page;
  const widthMm = spec.trim.widthMm / 2;
  const half = { ...spec, trim: { ...spec.trim, widthMm } };
  const [, right] = halvesOf(page);
  return own.map((file) => {
    if (file.half === undefined) {
      const line = files.find(({ part, half }) => part === 'line' && half === undefined);
      return { file, spec, rightMm: 0, line };
    }
    const isRight = right?.numbers[0] === file.half;
    return { file, spec: half, rightMm: isRight ? widthMm : 0, line: undefined };
  });
}

async function noticeOn(
  { file, spec, rightMm, line }: PlacedFlats,
  { units }: PageRequest,
  arena: PageArena,
): Promise<Noticed[]> {
  const noticed: Noticed[] = [];
  const picture = await readFile(file, undefined, noticed, undefined, arena);
  if (picture === undefined) return noticed;
  if (picture.kind === 'layered') return [layered(file.name)];
  const ink = line && (await readFile(line, undefined, [], undefined, arena));
  const over = ink?.kind === 'flat' ? { pixels: lineOf(ink, spec, arena), ppi: ink.ppi } : undefined;
  const inspected = inspectFlats({ pixels: picture.raster, ppi: picture.ppi }, over, { spec, units }, arena);
  return inspected.noticed.map((one) => movedRight({ file: file.name, ...one }, rightMm));
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
