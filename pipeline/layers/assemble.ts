import type { FilePart, Part } from '../../config/job.js';
import type { LineSettings, PrintSpec } from '../../config/print-spec.js';
import type { Noticed } from '../findings.js';
import { flatten } from '../flatten.js';
import { noticeAlpha } from '../inspect.js';
import { liftBlack, liftBlackInk } from '../line/lift.js';
import { inkAmount, isNeutral, noticeGrey } from '../line-art.js';
import type { Plate, Raster, StatedPpi } from '../raster.js';
import type { FlatPicture, WorkingPicture } from '../working-page.js';
import { notOpaquePercent, ontoPaper } from './paper.js';
import { type Parts, stackOf } from './stack.js';

/** One plane of a page at the size it was worked at. */
export interface Plane<Pixels> {
  readonly pixels: Pixels;
  readonly ppi: StatedPpi | undefined;
  /** Brought to its print size already. */
  readonly isFitted?: boolean;
}

/** A page taken apart for print: the colour, and the line that goes to its own plate. */
export interface PageArt {
  /** No alpha. Beneath the line where that is known, with the line painted in where it is not; undefined: all paper. */
  readonly colour: Plane<Raster> | undefined;
  /** Embedded profile of the colour; undefined where it is untagged. */
  readonly profile: Uint8Array | undefined;
  /** Ink amount 0 to 255, not yet decided to ink or paper; undefined for a page without line. */
  readonly line: Plane<Plate> | undefined;
  /** Share of the line that moved to the colour plates, in percent of its area. */
  readonly heldPercent: number;
  /** The black was lifted from a flat picture. */
  readonly lifted: boolean;
  /** The colour came in a file of its own, so it may show the line painted in. */
  readonly colourApart: boolean;
  /** The colour's own black ink already prints the line; the line plate is a sharper copy of it. */
  readonly lineInColour: boolean;
  readonly noticed: readonly Noticed[];
}

/**
 * Takes the parts of a page apart into colour and line. A lone flat picture has its black lifted; layers decide for
 * themselves which line is still black; parts that need each other (lettering above line, coloured line) are stacked
 * and flattened as if they were layers.
 */
export async function assemble(
  parts: Parts,
  partOf: (name: string) => Part | undefined,
  spec: Pick<PrintSpec, 'trim' | 'bleedMm' | 'line'>,
): Promise<PageArt> {
  const settings = spec.line;
  const { colour, line, lettering } = parts;
  if (colour === undefined) return lineOnly(line ?? lettering, settings);
  if (colour.kind === 'flat' && lettering === undefined) {
    if (line === undefined) return flatPage(colour, settings);
    if (isBlackLine(line, settings)) return pair(colour, line);
  }
  const stack = await stackOf(parts, partOf, spec);
  const flat = await flatten(stack, {
    partOf: (name) => stack.roles.get(name) ?? partOf(name),
    line: settings,
  });
  const plane = { ppi: stack.ppi };
  return {
    colour: { ...plane, pixels: flat.colour },
    profile: stack.profile,
    line: flat.line === undefined ? undefined : { ...plane, pixels: flat.line },
    heldPercent: flat.heldPercent,
    lifted: false,
    colourApart: false,
    lineInColour: false,
    noticed: [...stack.noticed, ...flat.noticed],
  };
}

/** Whether a line part is one that needs no stacking: flat, and black and white all over. */
export function isBlackLine(line: WorkingPicture, settings: LineSettings): line is FlatPicture {
  return line.kind === 'flat' && isNeutral(line.raster, settings);
}

/** Inks without any colour: a page in black and white. */
function lineOnly(line: WorkingPicture | undefined, settings: LineSettings): PageArt {
  if (line === undefined || line.kind !== 'flat') {
    throw new Error('a page without colour needs a flat line part');
  }
  const amount = inkAmount(line.raster);
  const grey = isNeutral(line.raster, settings) ? noticeGrey(amount, line.bitsPerSample) : [colouredAlone()];
  return {
    colour: undefined,
    profile: undefined,
    line: { pixels: amount, ppi: line.ppi },
    heldPercent: 0,
    lifted: false,
    colourApart: false,
    lineInColour: false,
    noticed: [...line.noticed, ...grey],
  };
}

/** One flat picture: its black is lifted, unless the job keeps it where it is. A 1-bit picture is all line. */
function flatPage(picture: FlatPicture, settings: LineSettings): PageArt {
  if (picture.bitsPerSample === 1) return lineOnly(picture, settings);
  const raster = ontoPaper(picture.raster);
  const noticed = [...picture.noticed, ...noticeAlpha(notOpaquePercent(picture.raster))];
  const lineInColour = raster.model === 'cmyk';
  const page = { profile: picture.profile, heldPercent: 0, colourApart: false, lineInColour, noticed };
  const { ppi } = picture;
  if (!settings.liftFromFlat) {
    return { ...page, colour: { pixels: raster, ppi }, line: undefined, lifted: false };
  }
  const { line, colour } = lineInColour ? liftBlackInk(raster, settings) : liftBlack(raster, settings);
  return { ...page, colour: { pixels: colour, ppi }, line: { pixels: line, ppi }, lifted: true };
}

/** Colour and black line as two files, the usual case. */
function pair(colour: FlatPicture, line: FlatPicture): PageArt {
  const raster = ontoPaper(colour.raster);
  const amount = inkAmount(line.raster);
  return {
    colour: { pixels: raster, ppi: colour.ppi, isFitted: colour.isFitted === true },
    profile: colour.profile,
    line: { pixels: amount, ppi: line.ppi },
    heldPercent: 0,
    lifted: false,
    colourApart: true,
    lineInColour: false,
    noticed: [
      ...colour.noticed,
      ...line.noticed,
      ...noticeAlpha(notOpaquePercent(colour.raster)),
      ...noticeGrey(amount, line.bitsPerSample),
    ],
  };
}

function colouredAlone(): Noticed {
  return {
    code: 'line-coloured',
    severity: 'stop',
    message: 'The line part is coloured, but the page has no colour part that it could move to',
    remedy: 'Drop the page as one file without a part word, or drop its colour part as well.',
  };
}

/** Whether a file brings colour: the colour part, or a whole page. */
export function bringsColour(part: FilePart): boolean {
  return part === 'colour' || part === 'whole';
}
