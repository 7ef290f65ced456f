import { type ExtraInk, inkPart } from '../../config/extra-ink.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { PageRequest, RequestedFile, UnhashedRequest } from '../model/page-request.js';
import type { ExtraPlate } from '../model/separation.js';
import type { WorkingPicture } from '../model/working-page.js';
import { type BesidePicture, plateOf } from './plate-of.js';

/** Reads the plates of a page's extra inks, one file after the other. @param noticed receives what is found, under the file's name */
export async function readExtraInks(
  { extraInks = [], page, units }: Pick<PageRequest | UnhashedRequest, 'extraInks' | 'page' | 'units'>,
  files: readonly RequestedFile[],
  readOne: (file: RequestedFile) => Promise<WorkingPicture | undefined>,
  beside: BesidePicture | undefined,
  noticed: Noticed[],
  arena: PageArena,
): Promise<ExtraPlate[]> {
  const plates: ExtraPlate[] = [];
  for (const ink of extraInks) {
    const own = files.filter(({ part }) => part === inkPart(ink.id));
    const [file] = own;
    if (file === undefined) continue;
    if (own.length > 1 || file.half !== undefined) {
      noticed.push(inHalves(ink, file));
      continue;
    }
    const picture = await readOne(file);
    if (picture === undefined) continue;
    const read = await plateOf(picture, ink, beside, { spec: page.spec, units }, arena);
    noticed.push(...read.noticed.map((one) => ({ ...one, file: file.name })));
    if (read.plate !== undefined) plates.push({ ink, plate: read.plate });
    await arena.reclaim.decoded();
  }
  return plates;
}

function inHalves({ name }: ExtraInk, file: RequestedFile): Noticed {
  return {
    code: 'extra-ink-halves',
    severity: 'stop',
    file: file.name,
    message: `The plate of ${name} came as half of a spread`,
    remedy: 'Drop it as one picture of the whole spread.',
  };
}
