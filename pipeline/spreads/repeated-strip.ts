import { mmToPx } from '../../config/units.js';
import { type Greys, likeness } from './likeness.js';

/** Whether the strip left of the fold stands right of it once more. */

/** The resolution at which is looked: enough for a strip of a millimetre. */
const lookPpi = 100;

/** Widths that are looked for. Our own choice: more than bleed at both halves, and what a cut by hand leaves. */
const narrowestMm = 1;
const widestMm = 13;

/** How far up and down the strip may lie. */
const asideMm = 1;

/** From this likeness of their edges on, two strips show the same; drawn pages without a double fold have up to 0.6. */
const leastLikeness = 0.85;

/** What repeats itself everywhere (hatching, screens) is as alike at other widths: how much less they must be. Our own choice. */
const leastLead = 0.15;

/** A page that is asked for its ink. */
export interface InkedSpread {
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
  /** Sum of its inks, 0 to 1020. */
  inkAt(x: number, y: number): number;
}

/** Width of the strip that stands at both sides of the fold, in pixels; undefined where there is none. */
export function repeatedPx(page: InkedSpread): number | undefined {
  const step = Math.max(1, Math.round(page.ppi / lookPpi));
  const perPx = page.ppi / step;
  const most = Math.min(Math.floor(mmToPx(widestMm, perPx)), Math.floor(page.width / (2 * step)) - 1);
  const [left, right] = edgesBesideFold(page, step, most);
  const aside = Math.max(1, Math.round(mmToPx(asideMm, perPx)));
  const least = Math.max(2, Math.round(mmToPx(narrowestMm, perPx)));
  const scores: { width: number; score: number }[] = [];
  for (let width = least; width <= most; width++) {
    scores.push({ width, score: alikeAt(left, right, width, most, aside) });
  }
  const best = scores.reduce((one, other) => (other.score > one.score ? other : one), { width: 0, score: 0 });
  const others = scores.filter(({ width }) => Math.abs(width - best.width) > 2).map(({ score }) => score);
  const isAlone = best.score - Math.max(0, ...others) >= leastLead;
  return best.score >= leastLikeness && isAlone ? best.width * step : undefined;
}

/** The likeness of the last columns before the fold and the first behind it, at the best height. */
function alikeAt(left: Greys, right: Greys, width: number, most: number, aside: number): number {
  let best = 0;
  for (let dy = -aside; dy <= aside; dy++) {
    // Column `most - width` on the left is the same as column 0 on the right.
    const found = likeness(left, right, { dx: width - most, dy, from: 0, to: width, stride: 1 });
    best = Math.max(best, found);
  }
  return best;
}

/** The columns before and behind the fold as changes from pixel to pixel across, so that tints and shades do not count. */
function edgesBesideFold(page: InkedSpread, step: number, columns: number): readonly [Greys, Greys] {
  const fold = Math.floor(page.width / 2);
  const rows = Math.floor(page.height / step);
  const part = (start: number): Greys => {
    const data = new Float32Array(rows * columns);
    for (let row = 0; row < rows; row++) {
      const mean = (column: number) => meanInk(page, start + column * step, row * step, step);
      let before = mean(0);
      for (let column = 1; column < columns; column++) {
        const here = mean(column);
        data[row * columns + column] = here - before;
        before = here;
      }
    }
    return { width: columns, height: rows, data };
  };
  return [part(fold - columns * step), part(fold)];
}

function meanInk(page: InkedSpread, left: number, top: number, side: number): number {
  let sum = 0;
  for (let y = top; y < top + side; y++) for (let x = left; x < left + side; x++) sum += page.inkAt(x, y);
  // Four inks of 255 each, as a grey of 255.
  return sum / (side * side * 4);
}
