import { mmToPx, pxToMm } from '../../config/units.js';
import type { LineStrokes } from '../model/page-result.js';
import type { Bitmap } from '../model/raster.js';
import { findChanges, wordsOf } from './bitmap.js';

/** How wide the strokes of a page are, and how dense: what tells a page that was scanned or drawn otherwise than its neighbours. */

/** Ink that goes on for longer than this along a row is an area, no stroke; millimetres. Own choice. */
const widestStrokeMm = 2;

/** Every so many rows are looked at. */
const rowStep = 8;

/** Fewer strokes than this, met on all of these rows, tell nothing. Own choice. */
const leastStrokes = 200;

/**
 * A row meets a stroke of width w that is turned by a from the row as w / sin a pixels of ink, and the less often the smaller a: of
 * strokes in all directions, half of what it meets is longer than w / sin 60 degrees.
 */
const medianOfAll = 2 / Math.sqrt(3);

/**
 * The strokes of a line: their median width, and their share of the page. Blacks count for neither, so that a page at night has the
 * strokes of its neighbours.
 * @returns undefined where there are too few to tell
 */
export function lineStrokes(line: Bitmap, ppi: number): LineStrokes | undefined {
  const widest = Math.floor(mmToPx(widestStrokeMm, ppi));
  const lengths = new Uint32Array(widest + 1);
  const words = wordsOf(line);
  const inRow = line.rowBytes >> 2;
  const changes = new Uint32Array(line.width + 1);
  let [strokes, inkPx, rows] = [0, 0, 0];
  for (let y = 0; y < line.height; y += rowStep, rows++) {
    const count = findChanges(words, y * inRow, inRow, changes);
    if (count % 2 === 1) changes[count] = line.width;
    for (let i = 0; i < count; i += 2) {
      const length = changes[i + 1] - changes[i];
      if (length > widest) continue;
      lengths[length]++;
      strokes++;
      inkPx += length;
    }
  }
  if (strokes < leastStrokes) return undefined;
  return {
    widthMm: pxToMm(medianOf(lengths, strokes) / medianOfAll, ppi),
    coveragePercent: (100 * inkPx) / (rows * line.width),
  };
}

/** The median of numbers of which it is known how often each occurs, as if those of one length were spread about it. */
function medianOf(counts: Uint32Array, all: number): number {
  let below = 0;
  for (const [length, count] of counts.entries()) {
    if (2 * (below + count) >= all && count > 0) return length - 0.5 + (all / 2 - below) / count;
    below += count;
  }
  return 0;
}
