import { PlatehandError } from '../config/errors.js';
import { bleedBoxPx } from '../config/print-spec.js';
import type { SizedParts } from './checks/resolution.js';
import { readExtraInks } from './extra-inks/read-plates.js';
import { unreadable } from './files/file-identity.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import type { PageParts } from './layers/assemble.js';
import { bringsColour } from './layers/page-art.js';
import { inkOnly, isBitonal, isBlackLine } from './line/ink-amount.js';
import { type Noticed, stopOf } from './model/findings.js';
import type { PageRequest, RequestedFile, UnhashedFile, UnhashedRequest } from './model/page-request.js';
import { isPlain } from './model/page-request.js';
import type { ExtraPlate } from './model/separation.js';
import type { InkPicture, WorkingPicture } from './model/working-page.js';
import type { FitWish } from './reading/decode-picture.js';
import { readHashed } from './reading/hash-file.js';
import { readWorkingPicture } from './reading/read-picture.js';
import { latestDay } from './reading/stated-day.js';
import { fitSteps } from './sizes/fit-steps.js';
import { planFit } from './sizes/plan-fit.js';
import type { HalvedPart } from './spreads/half-kinds.js';
import { type HalvedParts, joinHalves } from './spreads/join-halves.js';

/** The files of a page as pictures, with what reading them brought to light. */
export interface ReadPage extends SizedParts {
  /** The files with their checksums: those of the request, or taken while they were read. */
  readonly files: readonly RequestedFile[];
  /** The latest day that one of the files states; undefined where none does. */
  readonly statedDay: string | undefined;
  /** Whether line came in a file of its own, or in two as halves. */
  readonly hasLine: boolean;
  /** Whether it is a spread of which something came in halves. */
  readonly isHalved: boolean;
  readonly noticed: readonly Noticed[];
  /** Plates of extra inks, at their print size. */
  readonly extras: readonly ExtraPlate[];
}

/** Files with what they hold, as far as that has been read already; by path. */
interface HashedFiles {
  readonly files: readonly RequestedFile[];
  readonly contents: ReadonlyMap<string, Buffer>;
}

/**
 * Reads the files of a page. A file that cannot be decoded is a finding that stops the page.
 * @param arena within a scope: what the files hold is needed no longer than this takes, but for what `halveAcross` leaves
 * @throws PlatehandError `picture-unreadable` where the system does not let us read a file that has no checksum yet
 */
export async function readPage(asked: PageRequest | UnhashedRequest, arena: PageArena): Promise<ReadPage> {
  const { files, contents } = await hashed(asked.files, arena);
  const { spec } = asked.page;
  const fileOf = (wanted: (file: RequestedFile) => boolean) => files.find(wanted);
  const roles = {
    colour: fileOf(({ part }) => bringsColour(part)),
    line: fileOf(({ part }) => part === 'line'),
    lettering: fileOf(({ part }) => part === 'lettering'),
  };
  const noticed: Noticed[] = [];
  const days: (string | undefined)[] = [];
  const readOne: ReadOne = async (file, fit) => {
    if (file === undefined) return undefined;
    const picture = await readFile(file, contents.get(file.local.path), noticed, fit, arena);
    days.push(picture?.statedDay);
    return picture;
  };
  const isPaired = roles.colour !== undefined && isPlain(files);
  const isHalved = files.some(({ half }) => half !== undefined);
  const read = isHalved
    ? await readHalves(asked, files, isPaired, readOne, noticed, arena)
    : await readWhole(asked, roles, isPaired, readOne, arena);
  const planOf = (picture: WorkingPicture | InkPicture | undefined) =>
    picture === undefined ? undefined : planFit(picture, spec, asked.units).plan;
  const colourPlan = planOf(read?.colour);
  const beside = read?.colour && colourPlan && { picture: read.colour, plan: colourPlan };
  const extras = await readExtraInks(asked, files, readOne, beside, noticed, arena);
  const nameOf = (file: RequestedFile | undefined) => (file?.half === undefined ? file?.name : undefined);
  return {
    files,
    hasLine: roles.line !== undefined,
    isHalved,
    parts: read === undefined || isBare(read) || isStopped(noticed) ? undefined : read,
    colourFile: nameOf(roles.colour),
    lineFile: nameOf(roles.line),
    letteringFile: nameOf(roles.lettering),
    colourPlan,
    linePlan: planOf(read?.line),
    statedDay: latestDay(days),
    noticed,
    extras,
  };
}

/** Reads one file, if there is one; what is wrong with it is noticed. */
type ReadOne = (file: RequestedFile | undefined, fit?: FitWish) => Promise<WorkingPicture | undefined>;

function isStopped(noticed: readonly Noticed[]): boolean {
  return noticed.some(({ severity }) => severity === 'stop');
}

/** Whether nothing of what prints is there: of a page that waits, the flats may be all. */
function isBare({ colour, line, lettering }: PageParts): boolean {
  return colour === undefined && line === undefined && lettering === undefined;
}

/** A page of one file a part. */
async function readWhole(
  asked: PageRequest | UnhashedRequest,
  roles: Readonly<Record<HalvedPart, RequestedFile | undefined>>,
  isPaired: boolean,
  readOne: ReadOne,
  arena: PageArena,
): Promise<PageParts> {
  // The line first: whether it is plain black decides in what size the colour is wanted.
  // A call of its own, which ends: a function that waits still holds what it last waited for.
  const readLine = async () => decided(await readOne(roles.line), isPaired, arena);
  const line = await readLine();
  await arena.reclaim.decoded();
  const isPair = line !== undefined && isPaired && isBlackLine(line, asked.page.spec.line);
  const colour = await readOne(roles.colour, isPair ? wishFor(asked) : undefined);
  await arena.reclaim.decoded();
  return { colour, line, lettering: await readOne(roles.lettering) };
}

/** A spread of which parts came in halves: they are joined, and it goes on as if it had come whole. */
async function readHalves(
  { page, units }: Pick<PageRequest, 'page' | 'units'>,
  files: readonly RequestedFile[],
  isPaired: boolean,
  readOne: ReadOne,
  noticed: Noticed[],
  arena: PageArena,
): Promise<PageParts | undefined> {
  const parts: PageParts = { colour: undefined, line: undefined, lettering: undefined };
  const halves: HalvedParts = {};
  for (const part of ['line', 'colour', 'lettering'] as const) {
    const own = files.filter((file) => (part === 'colour' ? bringsColour(file.part) : file.part === part));
    if (own[0]?.half === undefined) {
      parts[part] = await readOne(own[0]);
      continue;
    }
    const [first, second] = [...own].sort((one, other) => (one.half ?? 0) - (other.half ?? 0));
    const [left, right] = [await readOne(first), await readOne(second)];
    if (left !== undefined && right !== undefined) {
      halves[part] = { files: [first.name, second.name], left, right };
    }
    await arena.reclaim.decoded();
  }
  if (isStopped(noticed)) return undefined;
  const joined = joinHalves(halves, page.spec, units);
  noticed.push(...joined.noticed);
  const all = { ...parts, ...joined.parts };
  return joined.parts && { ...all, line: decided(all.line, isPaired, arena) };
}

/** Takes the checksums of files that have none, and remembers what was read for it. */
async function hashed(
  asked: readonly (RequestedFile | UnhashedFile)[],
  arena: PageArena,
): Promise<HashedFiles> {
  const contents = new Map<string, Buffer>();
  const files: RequestedFile[] = [];
  for (const file of asked) {
    if (file.sha256 !== undefined) {
      files.push(file);
      continue;
    }
    const { sha256, bytes, content } = await readHashed(file.local.path, arena).catch((thrown: unknown) => {
      throw unreadable(file.name, thrown);
    });
    if (content !== undefined) contents.set(file.local.path, content);
    files.push({ ...file, bytes, sha256 });
  }
  return { files, contents };
}

/** Line of 1 bit beside flat colour alone is asked for its ink only. */
function decided(
  line: PageParts['line'],
  isPaired: boolean,
  memory: KernelMemory,
): WorkingPicture | InkPicture | undefined {
  return isPaired && line?.kind === 'flat' && isBitonal(line) ? inkOnly(line, memory) : line;
}

/** Beside black line, colour is only looked at in the size that prints; a shape that does not fit is not resampled. */
function wishFor({ page: { spec }, units }: Pick<PageRequest, 'page' | 'units'>): FitWish {
  return (found) => {
    const { plan } = planFit(found, spec, units);
    return plan === undefined ? undefined : fitSteps(found, plan.crop, bleedBoxPx(spec, spec.colourPpi));
  };
}

/**
 * Reads one file; what it noticed on the way stays with the picture, under the file's name.
 * @param content what it holds, where that has been read already
 * @param noticed takes the reason why it cannot be read
 * @returns undefined for a file that cannot be decoded
 */
export async function readFile(
  file: RequestedFile,
  content: Buffer | undefined,
  noticed: Noticed[],
  fit: FitWish | undefined,
  arena: PageArena,
): Promise<WorkingPicture | undefined> {
  try {
    const { picture: index, name } = file;
    const picture = await readWorkingPicture(file.local.path, { picture: index, name, content, fit }, arena);
    return { ...picture, noticed: picture.noticed.map((one) => ({ ...one, file: file.name })) };
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) throw thrown;
    noticed.push(stopOf(thrown, file.name));
    return undefined;
  }
}
