import { PlatehandError } from '../../config/errors.js';
import { bleedBoxPx, type PrintSpec } from '../../config/print-spec.js';
import type { LengthUnit } from '../../config/units.js';
import { type FitPlan, planFit } from '../fit.js';
import { bringsColour, type PageParts } from '../flatten.js';
import { noticeColourPpi, noticeLinePpi } from '../inspect.js';
import { inkOnly, isBitonal, isBlackLine } from '../line-art.js';
import { type Noticed, stopOf } from '../model/findings.js';
import { isPlain } from '../model/page-kinds.js';
import type { PageRequest, RequestedFile } from '../model/page-request.js';
import type { InkPicture, WorkingPicture } from '../model/working-page.js';
import type { FitWish } from '../reading/decode-picture.js';
import { readWorkingPicture } from '../reading/read-picture.js';
import { giveBackDecoded } from '../runner/reclaim.js';

/** The files of a page as pictures, with what reading them brought to light. */
export interface ReadParts {
  /** undefined when a file could not be read. */
  readonly parts: PageParts | undefined;
  /** Names of the files, for findings. */
  readonly colourFile: string | undefined;
  readonly lineFile: string | undefined;
  readonly letteringFile: string | undefined;
  readonly colourPlan: FitPlan | undefined;
  readonly linePlan: FitPlan | undefined;
  readonly noticed: readonly Noticed[];
}

/**
 * Reads the files of a page. A file that cannot be read is a finding that stops the page.
 * @param contents what files hold that have been read already, by path
 */
export async function readParts(
  request: PageRequest,
  contents: ReadonlyMap<string, Buffer> = new Map(),
): Promise<ReadParts> {
  const { spec } = request.page;
  const fileOf = (wanted: (file: RequestedFile) => boolean) => request.files.find(wanted);
  const files = {
    colour: fileOf(({ part }) => bringsColour(part)),
    line: fileOf(({ part }) => part === 'line'),
    lettering: fileOf(({ part }) => part === 'lettering'),
  };
  const noticed: Noticed[] = [];
  const readOne = (file: RequestedFile | undefined, fit?: FitWish) =>
    file === undefined ? undefined : readFile(file, contents.get(file.path), noticed, fit);
  // The line first: whether it is plain black decides in what size the colour is wanted.
  const isPaired = files.colour !== undefined && isPlain(request.files);
  // A call of its own, which ends: a function that waits still holds what it last waited for.
  const readLine = async () => decided(await readOne(files.line), isPaired);
  const line = await readLine();
  await giveBackDecoded();
  const isPair = line !== undefined && isPaired && isBlackLine(line, spec.line);
  const colour = await readOne(files.colour, isPair ? wishFor(request) : undefined);
  await giveBackDecoded();
  const lettering = await readOne(files.lettering);
  const planOf = (picture: WorkingPicture | InkPicture | undefined) =>
    picture === undefined ? undefined : planFit(picture, spec, request.units).plan;
  return {
    parts: noticed.length > 0 ? undefined : { colour, line, lettering },
    colourFile: files.colour?.name,
    lineFile: files.line?.name,
    letteringFile: files.lettering?.name,
    colourPlan: planOf(colour),
    linePlan: planOf(line),
    noticed,
  };
}

/** Line of 1 bit beside flat colour alone is asked for its ink only. */
function decided(
  line: WorkingPicture | undefined,
  isPaired: boolean,
): WorkingPicture | InkPicture | undefined {
  return isPaired && line?.kind === 'flat' && isBitonal(line) ? inkOnly(line) : line;
}

/** Beside black line, colour is only looked at in the size that prints; a shape that does not fit is not resampled. */
function wishFor({ page: { spec }, units }: PageRequest): FitWish {
  return (found) => {
    const { plan } = planFit(found, spec, units);
    return plan === undefined ? undefined : { crop: plan.crop, size: bleedBoxPx(spec, spec.colourPpi) };
  };
}

/** Reads one file; what it noticed on the way stays with the picture, under the file's name. */
async function readFile(
  file: RequestedFile,
  content: Buffer | undefined,
  noticed: Noticed[],
  fit: FitWish | undefined,
): Promise<WorkingPicture | undefined> {
  try {
    const { picture: index, name } = file;
    const picture = await readWorkingPicture(file.path, { picture: index, name, content, fit });
    return { ...picture, noticed: picture.noticed.map((one) => ({ ...one, file: file.name })) };
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) throw thrown;
    noticed.push(stopOf(thrown, file.name));
    return undefined;
  }
}

/** Holds each part against the size and the resolution that the print spec asks for. */
export function noticePartSizes(read: ReadParts, spec: PrintSpec, units: LengthUnit): Noticed[] {
  const { colour, line, lettering } = read.parts ?? {};
  const noticed: Noticed[] = [];
  const add = (file: string | undefined, found: readonly Noticed[]) => {
    for (const one of found) noticed.push(file === undefined ? one : { ...one, file });
  };
  for (const [picture, file] of [
    [colour, read.colourFile],
    [line, read.lineFile],
    [lettering, read.letteringFile],
  ] as const) {
    if (picture !== undefined) add(file, planFit(picture, spec, units).noticed);
  }
  if (read.colourPlan !== undefined) add(read.colourFile, noticeColourPpi(read.colourPlan, spec));
  if (read.linePlan !== undefined) add(read.lineFile, noticeLinePpi(read.linePlan, spec, false));
  const lifting = line === undefined && colour?.kind === 'flat' && spec.line.liftFromFlat;
  if (lifting && read.colourPlan !== undefined)
    add(read.colourFile, noticeLinePpi(read.colourPlan, spec, true));
  return noticed;
}
