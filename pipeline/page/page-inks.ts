import { bleedBoxPx, type PrintSpec } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import { type FitPlan, fitRaster } from '../fit.js';
import type { PageArt } from '../flatten.js';
import { limitBeneathBlack } from '../inks/ink-limit.js';
import { addSupportInk } from '../inks/support-ink.js';
import { desk } from '../kernels/page-arena.js';
import { coverageOf } from '../line/coverage.js';
import { fillDepthPx } from '../line/fill-beneath.js';
import { findPaintedLine } from '../line/painted-line.js';
import { linePlate, lineWithoutMasked } from '../line-art.js';
import type { Noticed } from '../model/findings.js';
import type { Bitmap, Raster, Separation } from '../model/raster.js';
import type { Separator } from '../separate.js';

/** A page as inks, at the sizes of the print spec. */
export interface PreparedInks {
  /** The four process plates at the colour ppi, without the line that has its own plate. */
  readonly separation: Separation;
  /** The page as it prints, line included: 100 % black over the colour beneath. */
  readonly composite: Separation;
  /** Ink or paper at the line ppi; undefined for a page without line. */
  readonly line: Bitmap | undefined;
  readonly inkBeforePercent: number;
  readonly heldPercent: number;
  readonly noticed: readonly Noticed[];
}

/**
 * Fits colour and line to the print spec, decides the line to ink or paper, separates the colour, and lays the line
 * over it within the ink limit.
 * @param art its colour is used up
 */
export async function prepareInks(
  art: PageArt,
  plans: { readonly colour: FitPlan | undefined; readonly line: FitPlan | undefined },
  spec: PrintSpec,
  separator: Separator,
): Promise<PreparedInks> {
  const size = bleedBoxPx(spec, spec.colourPpi);
  const wanted = await fitLine(art, plans.line, spec);
  const fitted = await fitColour(art, plans.colour, size);
  const whole = art.colour?.pixels;
  if (whole !== undefined && whole !== fitted) desk().release(whole.data);
  const apart = splitLine(art, fitted, wanted, size, spec);
  const separated =
    apart.colour === undefined ? blankSheet(size) : separator.separate(apart.colour, art.profile);
  const { separation } = separated;
  if (apart.colour !== undefined) desk().release(apart.colour.data);
  const limit = separator.inkLimitPercent;
  let composite = separation;
  if (apart.coverage !== undefined && !art.lineInColour) {
    addSupportInk(separation, apart.coverage, spec.support, spec.colourPpi, limit);
    composite = { ...separation, black: copied(separation.black) };
    limitBeneathBlack(composite, apart.coverage.data, limit);
  }
  const { inkBeforePercent, noticed } = separated;
  const heldPercent = art.heldPercent + apart.heldPercent;
  return { separation, composite, line: apart.line, inkBeforePercent, heldPercent, noticed };
}

async function fitLine(
  art: PageArt,
  plan: FitPlan | undefined,
  spec: PrintSpec,
): Promise<Bitmap | undefined> {
  if (art.line === undefined || plan === undefined) return undefined;
  return linePlate(art.line.pixels, plan, bleedBoxPx(spec, spec.linePpi), spec.line);
}

async function fitColour(art: PageArt, plan: FitPlan | undefined, size: SizePx): Promise<Raster | undefined> {
  if (art.colour?.isFitted) return art.colour.pixels;
  if (art.colour === undefined || plan === undefined) return undefined;
  return fitRaster(art.colour.pixels, plan, size);
}

/** Line plate, its coverage of the colour's pixels, and the colour beneath it; holds leave the line plate here. */
function splitLine(
  art: PageArt,
  colour: Raster | undefined,
  line: Bitmap | undefined,
  size: SizePx,
  spec: PrintSpec,
) {
  if (line === undefined) return { colour, line, coverage: undefined, heldPercent: 0 };
  const coverage = coverageOf(line, size);
  if (!art.colourApart || colour === undefined) return { colour, line, coverage, heldPercent: 0 };
  const painted = findPaintedLine(colour, coverage, spec.line, fillDepthPx(spec.support, spec.colourPpi));
  if (painted.held === undefined) return { colour: painted.colour, line, coverage, heldPercent: 0 };
  const kept = lineWithoutMasked(line, painted.held);
  return {
    colour: painted.colour,
    line: kept,
    coverage: coverageOf(kept, size),
    heldPercent: painted.heldPercent,
  };
}

function copied(plane: Uint8Array): Uint8Array {
  const copy = desk().hold(plane.length);
  copy.set(plane);
  return copy;
}

/** Paper without ink. */
function blankSheet(size: SizePx) {
  const plane = () => new Uint8Array(size.width * size.height);
  const separation = { ...size, cyan: plane(), magenta: plane(), yellow: plane(), black: plane() };
  return { separation, inkBeforePercent: 0, noticed: [] };
}
