import { bleedBoxPx, type LineSettings, type PrintSpec } from '../config/print-spec.js';
import type { FittedPage } from './fit.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import { bitmapOf } from './line/bitmap.js';
import { coverageOf } from './line/coverage.js';
import { fillDepthPx } from './line/fill-beneath.js';
import { thresholdOf } from './line/ink-amount.js';
import { lineWithoutMasked } from './line/masks.js';
import { findPaintedLine } from './line/painted-line.js';
import type { Bitmap, Plate, Raster } from './model/raster.js';

/** A page's line decided, and the colour as it is beneath the line. */
export interface InkedLine {
  readonly colour: Raster | undefined;
  /** Ink or paper at the line ppi, holds taken out; undefined for a page without line. */
  readonly line: Bitmap | undefined;
  /** Share of each pixel of the colour that the line covers, 0 to 255; undefined for a page without line. */
  readonly coverage: Plate | undefined;
  /** Share of the line that the colour prints instead, in percent of its area. */
  readonly heldPercent: number;
}

/**
 * Decides line to ink or paper. Where the colour came in a file of its own it may show the line painted in: what is coloured
 * there is a hold and leaves the line plate, and beneath the rest the colour is filled in.
 * @param art whether the colour came in a file of its own
 * @param arena where the coverage is allocated as far as it fits
 */
export function lineArt(
  { colour, line: fitted }: FittedPage,
  art: { readonly colourApart: boolean },
  spec: PrintSpec,
  arena: PageArena,
): InkedLine {
  if (fitted === undefined) return { colour, line: undefined, coverage: undefined, heldPercent: 0 };
  const line = linePlate(fitted, spec.line, arena);
  const size = bleedBoxPx(spec, spec.colourPpi);
  const coverage = coverageOf(line, size, arena);
  if (!art.colourApart || colour === undefined) return { colour, line, coverage, heldPercent: 0 };
  const depthPx = fillDepthPx(spec.support, spec.colourPpi);
  const painted = findPaintedLine(colour, coverage, spec.line, depthPx, arena);
  if (painted.held === undefined) return { colour: painted.colour, line, coverage, heldPercent: 0 };
  const kept = lineWithoutMasked(line, painted.held);
  return {
    colour: painted.colour,
    line: kept,
    coverage: coverageOf(kept, size, arena),
    heldPercent: painted.heldPercent,
  };
}

/**
 * The line plate: ink or paper and nothing between. Each pixel is only compared with the threshold; what is decided already, as
 * 1-bit inks are, stays bit for bit.
 * @param ink at the size of the plate: width x height x 1, 0 paper to 255 ink
 */
export function linePlate(
  ink: Plate | Bitmap,
  settings: Pick<LineSettings, 'thresholdPercent'>,
  memory: KernelMemory,
): Bitmap {
  return 'bits' in ink ? ink : bitmapOf(ink.data, ink, thresholdOf(settings), memory);
}
