import type { PrintSpec } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap } from '../model/raster.js';
import { bordersCut, type CutBorder, type Skew, skewOf } from './borders.js';
import { findScreens, type Screen } from './screens.js';
import { findSpecks, type Speck } from './specks.js';
import { straightEdges } from './straight-edges.js';
import { type ThinStrokes, thinBlack, thinWhite } from './thin-strokes.js';

/** What was measured on a line plate, in its pixels. What the print spec leaves out is empty. */
export interface LineFaults {
  /** Black line on paper, and white line in black, that is too thin as a whole. */
  readonly thinBlack: ThinStrokes;
  readonly thinWhite: ThinStrokes;
  readonly specks: readonly Speck[];
  readonly pinholes: readonly Speck[];
  /** How the page is turned; undefined where borders do not tell. */
  readonly skew: Skew | undefined;
  readonly cutBorders: readonly CutBorder[];
  /** Screened tone, the largest first. */
  readonly screens: readonly Screen[];
}

const noStrokes: ThinStrokes = { strokes: [], thinPx: 0, slenderPx: 0 };

/**
 * Measures a line plate: ink or paper at `linePpi`, trim plus bleed.
 * @param isLifted ink lifted from a picture has specks of the picture's own: they are not looked for
 */
export function measureLine(
  line: Bitmap,
  { checks, linePpi: ppi, trim }: Pick<PrintSpec, 'checks' | 'linePpi' | 'trim'>,
  isLifted: boolean,
  memory: KernelMemory,
): LineFaults {
  const { thinLineMm, thinWhiteLineMm, speckMm, specksCount, skewDegrees, cutBorderMm } = checks;
  const looksForSpecks = !isLifted && speckMm > 0 && specksCount > 0;
  const edges = skewDegrees > 0 || cutBorderMm > 0 ? straightEdges(line, ppi) : [];
  return {
    screens: checks.pressScreenLpi > 0 ? findScreens(line, ppi) : [],
    thinBlack: thinLineMm > 0 ? thinBlack(line, thinLineMm, ppi, memory) : noStrokes,
    thinWhite: thinWhiteLineMm > 0 ? thinWhite(line, thinWhiteLineMm, ppi, memory) : noStrokes,
    specks: looksForSpecks ? findSpecks(line, 'ink', speckMm, ppi, memory) : [],
    pinholes: looksForSpecks ? findSpecks(line, 'paper', speckMm, ppi, memory) : [],
    skew: skewDegrees > 0 ? skewOf(edges, ppi) : undefined,
    cutBorders: cutBorderMm > 0 ? bordersCut(edges, line, { trim }, ppi, cutBorderMm) : [],
  };
}
