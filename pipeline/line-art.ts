import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import type { FittedPage } from './fit.js';
import type { PageArena } from './kernels/page-arena.js';
import { bitmapOf, either, without } from './line/bitmap.js';
import { coverageOf } from './line/coverage.js';
import { edgePx, fillDepthPx } from './line/fill-beneath.js';
import { lightOnLifted } from './line/lifted-light.js';
import { findLitLine, type lightFrom, lightOnPainted, litWithoutLine } from './line/lit-line.js';
import { copyWithin, lineWithoutMasked, noLonger, shareWithin } from './line/masks.js';
import { grow } from './line/morphology.js';
import { findPaintedLine } from './line/painted-line.js';
import type { Bitmap, Plate, Raster } from './model/raster.js';

/** A page's line as it prints, and the colour as it is beneath the line. */
export interface InkedLine {
  /** Beneath line that stays; the page as painted everywhere else. */
  readonly colour: Raster | undefined;
  /** The page as painted, line included; undefined where it is the colour with the line over it. */
  readonly painted: Raster | undefined;
  /** Ink or paper at the line ppi, what prints in colour taken out; undefined for a page without line. */
  readonly line: Bitmap | undefined;
  /** Share of each pixel of the colour that the line covers, 0 to 255; undefined for a page without line. */
  readonly coverage: Plate | undefined;
  /** Share of the line that the colour prints instead, in percent of its area. */
  readonly heldPercent: number;
  /** Around hard borders of light on the line, at the size of the colour; undefined where there are none. */
  readonly hard?: Bitmap | undefined;
  /** 255 where lettering shows, for every second pixel of the colour; undefined where none came apart. */
  readonly lettering?: Plate | undefined;
}

/**
 * Takes the line and what it hides apart. Where the colour came in a file of its own it may show the line painted in: what is coloured
 * there is a hold and leaves the line plate, and beneath the rest the colour is filled in. Line that light above it makes
 * visibly brighter prints as the page looks, and leaves the line plate too.
 * @param art whether the colour came in a file of its own, and whether the line was lifted from it
 * @param arena where the coverage is allocated as far as it fits
 */
export function lineArt(
  { colour, line, painted, light, lettering }: FittedPage,
  art: { readonly colourApart: boolean; readonly lifted: boolean },
  spec: PrintSpec,
  arena: PageArena,
): InkedLine {
  const noLine = { line: undefined, coverage: undefined, heldPercent: 0, lettering };
  if (line === undefined) return { ...noLine, colour, painted: undefined };
  const coverage = coverageOf(line, bleedBoxPx(spec, spec.colourPpi), arena);
  const inked: CoveredLine = { colour, painted, line, coverage, heldPercent: 0, lettering };
  if (art.colourApart && colour !== undefined) return withoutPainted(inked, colour, spec, arena);
  if (art.lifted && painted !== undefined)
    return withoutLit(inked, lightOnLifted(painted, coverage, spec.line, arena), 'lifted', spec, arena);
  return light === undefined ? inked : withoutLit(inked, light, 'layers', spec, arena);
}

type CoveredLine = InkedLine & { readonly line: Bitmap; readonly coverage: Plate };

/** Takes out what a colour part of its own shows of the line in colour. */
function withoutPainted(inked: CoveredLine, colour: Raster, spec: PrintSpec, arena: PageArena): InkedLine {
  const depthPx = fillDepthPx(spec.support, spec.colourPpi);
  const found = findPaintedLine(colour, inked.coverage, spec.line, depthPx, arena);
  if (found.original === undefined) return inked;
  const painted = found.original;
  const whole = { ...inked, colour: found.colour, painted };
  const held = found.held === undefined ? whole : withoutLine(whole, found.held, found.heldPercent, arena);
  const kept = withoutLit(held, lightOnPainted(painted, held.coverage), 'picture', spec, arena);
  // Filling beneath the line that stays reaches a little into what was held beside it.
  copyWithin(painted, found.colour, asPainted(inked.coverage, kept.coverage, arena));
  return kept;
}

/** Where line has left the plate, with the soft edge that went with it; beside line that stays, what was filled stays too. */
function asPainted(before: Plate, after: Plate, arena: PageArena): Bitmap {
  const gone = noLonger(before, after, arena);
  const stays = grow(bitmapOf(after.data, after, 1, arena), edgePx, arena);
  return either(gone, without(grow(gone, edgePx, arena), stays, arena), arena);
}

/** Takes out line that is lit; there the colour is the page as painted. */
function withoutLit(
  inked: CoveredLine,
  light: Plate,
  from: keyof typeof lightFrom,
  spec: PrintSpec,
  arena: PageArena,
): CoveredLine {
  const { colour, painted, coverage } = inked;
  const found = findLitLine(light, coverage, spec.line, from, arena);
  if (found === undefined || colour === undefined || painted === undefined) return inked;
  const { lit, hard } = found;
  const litPercent = shareWithin(coverage, lit, arena) * (100 - inked.heldPercent);
  const kept = { ...withoutLine(inked, lit, litPercent, arena), hard };
  copyWithin(painted, colour, lit);
  // Resampling has mixed the colour beneath line into what was held back beside it.
  copyWithin(painted, colour, litWithoutLine(light, kept.coverage, arena));
  return kept;
}

/** @param morePercent share of the line that is taken out, in percent of all of it */
function withoutLine(inked: CoveredLine, mask: Bitmap, morePercent: number, arena: PageArena): CoveredLine {
  const line = lineWithoutMasked(inked.line, mask);
  const coverage = coverageOf(line, inked.coverage, arena);
  return { ...inked, line, coverage, heldPercent: inked.heldPercent + morePercent };
}
