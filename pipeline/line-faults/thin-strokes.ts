import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { both, countSet } from '../line/bitmap.js';
import { grow, shrink } from '../line/morphology.js';
import type { Bitmap } from '../model/raster.js';
import { type Piece, piecesOf } from './pieces.js';
import { thinnerThan, widestDiscPx } from './thin.js';

/**
 * Strokes that are too thin for the press. Pen and brush taper to nothing, and no press minds: what counts are strokes that are thin
 * over their length. So a stroke is looked at with all of it that is up to twice as thick as the limit: of one that tapers half
 * of that is too thin, of a hairline all.
 */

/** From this share of a stroke on it is thin as a whole. A straight taper has half. Own choice, tried on drawn pages. */
const wholeShare = 0.7;

/** Shorter strokes are texture, in millimetres. Own choice. */
const leastStrokeMm = 2;

/** White line counts where black this wide is on both of its sides, in millimetres. Own choice. */
const solidMm = 0.5;

/** What was found of one kind of line. */
export interface ThinStrokes {
  /** Those that are too thin as a whole, in reading order. */
  readonly strokes: readonly Piece[];
  /** How long they are together, and how long all line is that is up to twice as thick as the limit. */
  readonly thinPx: number;
  readonly slenderPx: number;
}

const none: ThinStrokes = { strokes: [], thinPx: 0, slenderPx: 0 };

/**
 * The width that a line has to have on a plate, in whole pixels: the nearest, since a line of the limit's own width has as many,
 * or one more.
 */
function leastWidthPx(limitMm: number, ppi: number): number {
  return Math.min(widestDiscPx / 2, Math.round(mmToPx(limitMm, ppi)));
}

/** Black strokes that are thinner than a limit. */
export function thinBlack(line: Bitmap, limitMm: number, ppi: number, memory: KernelMemory): ThinStrokes {
  const least = leastWidthPx(limitMm, ppi);
  if (least < 2) return none;
  const thin = thinnerThan(line, 'ink', least, memory);
  if (countSet(thin, memory) === 0) return none;
  return strokesOf(thinnerThan(line, 'ink', 2 * least, memory), thin, ppi);
}

/** White strokes in solid black that are thinner than a limit. */
export function thinWhite(line: Bitmap, limitMm: number, ppi: number, memory: KernelMemory): ThinStrokes {
  const least = leastWidthPx(limitMm, ppi);
  if (least < 2) return none;
  const half = Math.max(1, Math.round(mmToPx(solidMm, ppi) / 2));
  const solid = grow(shrink(line, half, memory), half, memory);
  if (countSet(solid, memory) === 0) return none;
  // Where white runs between two blacks and not beside one.
  const between = shrink(grow(solid, least, memory), least, memory);
  const slender = both(thinnerThan(line, 'paper', 2 * least, memory), between, memory);
  if (countSet(slender, memory) === 0) return none;
  const thin = both(thinnerThan(line, 'paper', least, memory), slender, memory);
  return strokesOf(slender, thin, ppi);
}

function strokesOf(slender: Bitmap, thin: Bitmap, ppi: number): ThinStrokes {
  const leastPx = mmToPx(leastStrokeMm, ppi);
  const pieces = piecesOf(slender, { byCorners: true, marks: thin });
  const strokes = pieces.filter(({ markedLengthPx, lengthPx }) => {
    return markedLengthPx >= leastPx && markedLengthPx >= wholeShare * lengthPx;
  });
  return {
    strokes,
    thinPx: strokes.reduce((sum, { markedLengthPx }) => sum + markedLengthPx, 0),
    slenderPx: pieces.reduce((sum, { lengthPx }) => sum + lengthPx, 0),
  };
}
