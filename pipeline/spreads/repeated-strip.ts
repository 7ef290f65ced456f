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

/** Widths that lie so close to each other are one, in pixels of that resolution. */
const nearPx = 2;

/** Strips that are the same are this close, of 255; at other widths so many times farther and by this much more. Our own choice. */
const mostApart = 0.6;
const leastTimes = 4;
const leastApart = 0.5;

/** A strip that varies less than this about its mean, of 255, shows nothing. Our own choice. */
const leastVaried = 2;

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
  const sides = sidesOfFold(page, step, most);
  const edges = { left: acrossOf(sides.left), right: acrossOf(sides.right) };
  const aside = Math.max(1, Math.round(mmToPx(asideMm, perPx)));
  const least = Math.max(2, Math.round(mmToPx(narrowestMm, perPx)));
  const scores: { width: number; score: number }[] = [];
  for (let width = least; width <= most; width++)
    scores.push({ width, score: alikeAt(edges, width, most, aside) });
  const best = scores.reduce((one, other) => (other.score > one.score ? other : one), { width: 0, score: 0 });
  const others = scores
    .filter(({ width }) => Math.abs(width - best.width) > nearPx)
    .map(({ score }) => score);
  const isAlone = best.score - Math.max(0, ...others) >= leastLead;
  if (best.score >= leastLikeness && isAlone) return best.width * step;
  const same = sameWidth(sides, least, most);
  return same === undefined ? undefined : same * step;
}

/** The columns before the fold and behind it. */
interface Sides {
  readonly left: Greys;
  readonly right: Greys;
}

/** The likeness of the last columns before the fold and the first behind it, at the best height. */
function alikeAt({ left, right }: Sides, width: number, most: number, aside: number): number {
  let best = 0;
  for (let dy = -aside; dy <= aside; dy++) {
    // Column `most - width` on the left is the same as column 0 on the right.
    best = Math.max(best, likeness(left, right, { dx: width - most, dy, from: 0, to: width, stride: 1 }));
  }
  return best;
}

/**
 * The width at which both strips are the same number for number, or nearly so, and at no other: that tells also where soft colour has no
 * edges.
 */
function sameWidth({ left, right }: Sides, least: number, most: number): number | undefined {
  const apart: { width: number; mean: number }[] = [];
  for (let width = least; width <= most; width++)
    apart.push({ width, mean: meanApart(left, right, width, most) });
  const best = apart.reduce((one, other) => (other.mean < one.mean ? other : one));
  const others = apart.filter(({ width }) => Math.abs(width - best.width) > nearPx).map(({ mean }) => mean);
  const isAlone = others.length > 0 && Math.min(...others) >= best.mean * leastTimes + leastApart;
  return best.mean <= mostApart && isAlone && showsSomething(left, best.width) ? best.width : undefined;
}

/** White paper at both sides of the fold is the same, and no strip of a picture. */
function showsSomething({ width, data }: Greys, strip: number): boolean {
  const own = data.filter((_, i) => i % width >= width - strip);
  const mean = own.reduce((sum, value) => sum + value, 0) / own.length;
  return own.reduce((sum, value) => sum + Math.abs(value - mean), 0) / own.length >= leastVaried;
}

/** How far the strips are from each other, of 255. */
function meanApart(left: Greys, right: Greys, width: number, most: number): number {
  let sum = 0;
  for (let y = 0; y < left.height; y++) {
    const row = y * most;
    for (let x = 0; x < width; x++) sum += Math.abs(left.data[row + most - width + x] - right.data[row + x]);
  }
  return sum / (width * left.height);
}

function sidesOfFold(page: InkedSpread, step: number, columns: number): Sides {
  const fold = Math.floor(page.width / 2);
  const rows = Math.floor(page.height / step);
  const part = (start: number): Greys => {
    const data = new Float32Array(rows * columns);
    for (let row = 0, to = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        data[to++] = meanInk(page, start + column * step, row * step, step);
      }
    }
    return { width: columns, height: rows, data };
  };
  return { left: part(fold - columns * step), right: part(fold) };
}

/** Changes from pixel to pixel across, so that tints and shades do not count. */
function acrossOf({ width, height, data }: Greys): Greys {
  const changes = Float32Array.from(data, (value, i) => (i % width === 0 ? 0 : value - data[i - 1]));
  return { width, height, data: changes };
}

function meanInk(page: InkedSpread, left: number, top: number, side: number): number {
  let sum = 0;
  for (let y = top; y < top + side; y++) for (let x = left; x < left + side; x++) sum += page.inkAt(x, y);
  // Four inks of 255 each, as a grey of 255.
  return sum / (side * side * 4);
}
