import type { Part } from '../../config/job.js';
import type { LineSettings, PageBox, PrintSpec } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { fillDepthPx } from '../line/fill-beneath.js';
import { noticeGrey } from '../line/grey.js';
import { inkAmount, inkBits, isBitonal, isBlackLine, isNeutral, withSamples } from '../line/ink-amount.js';
import { type LiftSize, liftBlack, liftBlackInk, noticePainted } from '../line/lift.js';
import type { Noticed } from '../model/findings.js';
import type { Bitmap, Plate } from '../model/raster.js';
import type { FlatPicture, InkPicture, WorkingPicture } from '../model/working-page.js';
import { halvingSteps } from '../sizes/fit-steps.js';
import { printPpi } from '../sizes/plan-fit.js';
import { flatten } from './flatten-layers.js';
import { letterInks } from './inked-lettering.js';
import type { PageArt } from './page-art.js';
import { noticeAlpha, notOpaquePercent, ontoPaper } from './paper.js';
import { cutToPage } from './same-page.js';
import { type Parts, stackOf } from './stack.js';

/** The parts of a page as they were read: of line beside flat colour, only the ink may be left. */
export interface PageParts extends Omit<Parts, 'line'> {
  line: WorkingPicture | InkPicture | undefined;
}

/**
 * Takes the parts of a page apart into colour and line. A lone flat picture has its black lifted; layers decide for
 * themselves which line is still black; parts that need each other (lettering above line, coloured line) are stacked
 * and flattened as if they were layers.
 * @param read used up: each picture lives no longer than it is needed
 * @param arena where colour and line are allocated as far as they fit
 */
export async function assemble(
  read: PageParts,
  partOf: (name: string) => Part | undefined,
  spec: AssembleSpec,
  arena: PageArena,
): Promise<PageArt> {
  const plain = plainArt(read, spec, arena);
  if (plain === undefined) cutToPage(asParts(read, arena), spec);
  const art = plain ?? (await letteredInks(asParts(read, arena), spec, arena));
  if (art === undefined) return stacked(asParts(read, arena), partOf, spec, arena);
  Object.assign(read, { colour: undefined, line: undefined, lettering: undefined });
  return art;
}

/** The same parts, the line with its samples. */
function asParts(read: PageParts, memory: KernelMemory): Parts {
  if (read.line?.kind === 'ink') read.line = withSamples(read.line, memory);
  return read as Parts;
}

/** Parts that do not need each other. */
function plainArt(
  { colour, line, lettering }: PageParts,
  spec: AssembleSpec,
  arena: PageArena,
): PageArt | undefined {
  const only = colour === undefined ? loneFlat(line, lettering) : undefined;
  if (only !== undefined) return lineOnly(only, spec.line, arena);
  if (colour?.kind !== 'flat' || lettering !== undefined) return undefined;
  if (line === undefined) return flatPage(colour, spec, arena);
  return isBlackLine(line, spec.line) ? pair(colour, line, arena) : undefined;
}

/** The one part of a page without colour, if it is flat. */
function loneFlat(line: PageParts['line'], lettering: WorkingPicture | undefined) {
  const one = line === undefined ? lettering : lettering === undefined ? line : undefined;
  return one?.kind === 'flat' ? one : undefined;
}

type AssembleSpec = PageBox & Pick<PrintSpec, 'line' | 'support' | 'colourPpi'>;

/** CMYK colour keeps its numbers, so only lettering and line in black and white can lie on it. */
async function letteredInks(
  parts: Parts,
  spec: AssembleSpec,
  arena: PageArena,
): Promise<PageArt | undefined> {
  const { colour, line, lettering } = parts;
  if (colour?.kind !== 'flat' || colour.raster.model !== 'cmyk') return undefined;
  if (lettering === undefined || !isBlackLine(lettering, spec.line)) return undefined;
  if (line !== undefined && !isBlackLine(line, spec.line)) return undefined;
  const inks = await letterInks(colour, line, lettering, spec, arena);
  if (inks === undefined) return undefined;
  const art = pair(colour, line ?? lettering, arena);
  return {
    ...art,
    colour: { pixels: inks.colour, ppi: colour.ppi },
    line: { pixels: inks.line, ppi: (line ?? lettering).ppi },
    noticed: line === undefined ? art.noticed : [...art.noticed, ...lettering.noticed],
  };
}

/**
 * Parts that need each other are stacked and flattened as if they were layers. From layers of which none is line, black is
 * lifted as from a flat picture.
 */
async function stacked(
  parts: Parts,
  partOf: (name: string) => Part | undefined,
  spec: AssembleSpec,
  arena: PageArena,
): Promise<PageArt> {
  const isAlone = parts.line === undefined && parts.lettering === undefined;
  const files = [parts.colour, parts.line, parts.lettering];
  const stack = await stackOf(parts, partOf, spec, arena);
  const flat = await flatten(
    stack,
    {
      partOf: (name) => stack.roles.get(name) ?? partOf(name),
      line: spec.line,
      half: halvingSteps(stack, spec),
    },
    arena,
  );
  const plane = { ppi: stack.ppi };
  for (const file of files) if (file?.kind === 'layered') file.giveUp?.();
  const sized = flat.isHalved ? { ...plane, isFitted: true, canvas: sizeOf(stack) } : plane;
  const liftsBlack = isAlone && flat.line === undefined && spec.line.liftFromFlat;
  const lifted = liftsBlack ? liftBlack(flat.colour, spec.line, liftSize(stack, spec), arena) : undefined;
  const { line, colour } = lifted ?? flat;
  const painted = lifted === undefined ? flat.painted : lifted.original;
  return {
    colour: { ...sized, pixels: colour },
    profile: stack.profile,
    painted: painted === undefined ? undefined : { ...sized, pixels: painted },
    light: flat.light === undefined ? undefined : { ...plane, pixels: flat.light },
    line: line === undefined ? undefined : { ...plane, pixels: line },
    lettering: flat.lettering,
    heldPercent: stack.unpaintedPercent + flat.heldPercent * (1 - stack.unpaintedPercent / 100),
    lifted: lifted?.line !== undefined,
    colourApart: false,
    lineInColour: false,
    noticed: [
      ...stack.noticed,
      ...flat.noticed,
      ...(flat.line === undefined ? [] : noticeGrey(flat.line, arena)),
      ...(lifted === undefined ? [] : noticePainted(lifted)),
    ],
  };
}

/** Inks without any colour: a page in black and white. */
function lineOnly(line: FlatPicture, settings: LineSettings, arena: PageArena): PageArt {
  const { amount, noticed } = inkOf(line, arena);
  const wrong = isNeutral(line.raster, settings) ? noticed : [colouredAlone()];
  return {
    colour: undefined,
    profile: undefined,
    painted: undefined,
    light: undefined,
    line: { pixels: amount, ppi: line.ppi },
    heldPercent: 0,
    lifted: false,
    colourApart: false,
    lineInColour: false,
    noticed: [...line.noticed, ...wrong],
  };
}

/** The ink of a line part: bits where the file has no more, else tone, which is searched for grey. */
function inkOf(
  line: FlatPicture | InkPicture,
  arena: PageArena,
): { amount: Plate | Bitmap; noticed: Noticed[] } {
  if (line.kind === 'ink') return { amount: line.ink, noticed: [] };
  if (isBitonal(line)) return { amount: inkBits(line.raster, arena), noticed: [] };
  const amount = inkAmount(line.raster, arena);
  return { amount, noticed: noticeGrey(amount, arena) };
}

/** One flat picture: its black is lifted, unless the job keeps it where it is. A 1-bit picture is all line. */
function flatPage(picture: FlatPicture, spec: AssembleSpec, arena: PageArena): PageArt {
  const settings = spec.line;
  if (isBitonal(picture)) return lineOnly(picture, settings, arena);
  const raster = ontoPaper(picture.raster);
  const noticed = [...picture.noticed, ...noticeAlpha(notOpaquePercent(picture.raster))];
  const lineInColour = raster.model === 'cmyk';
  const facts = { profile: picture.profile, light: undefined, heldPercent: 0, colourApart: false };
  const page = { ...facts, painted: undefined, lineInColour, noticed };
  const { ppi } = picture;
  if (!settings.liftFromFlat) {
    return { ...page, colour: { pixels: raster, ppi }, line: undefined, lifted: false };
  }
  const lift = lineInColour ? liftBlackInk : liftBlack;
  const found = lift(raster, settings, liftSize(picture, spec), arena);
  const { line, colour } = found;
  return {
    ...page,
    painted: found.original && { pixels: found.original, ppi },
    colour: { pixels: colour, ppi },
    line: line === undefined ? undefined : { pixels: line, ppi },
    lifted: line !== undefined,
    noticed: [...noticed, ...noticePainted(found)],
  };
}

function liftSize(picture: Parameters<typeof printPpi>[0], spec: AssembleSpec): LiftSize {
  const ppi = printPpi(picture, spec);
  return { ppi, depthPx: fillDepthPx(spec.support, ppi) };
}

/** Colour and black line as two files, the usual case. */
function pair(colour: FlatPicture, line: FlatPicture | InkPicture, arena: PageArena): PageArt {
  const raster = ontoPaper(colour.raster);
  const { amount, noticed } = inkOf(line, arena);
  return {
    colour: { pixels: raster, ppi: colour.ppi, isFitted: colour.isFitted === true, canvas: sizeOf(colour) },
    profile: colour.profile,
    painted: undefined,
    light: undefined,
    line: { pixels: amount, ppi: line.ppi },
    heldPercent: 0,
    lifted: false,
    colourApart: true,
    lineInColour: false,
    noticed: [
      ...colour.noticed,
      ...line.noticed,
      ...noticeAlpha(notOpaquePercent(colour.raster)),
      ...noticed,
    ],
  };
}

function sizeOf({ width, height }: SizePx): SizePx {
  return { width, height };
}

function colouredAlone(): Noticed {
  return {
    code: 'line-coloured',
    severity: 'stop',
    message: 'The line part is coloured, but the page has no colour part that it could move to',
    remedy: 'Drop the page as one file without a part word, or drop its colour part as well.',
  };
}
