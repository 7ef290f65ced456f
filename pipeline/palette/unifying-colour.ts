import type { CommonColour, OkLab, UnifyingColour } from '../model/palette.js';
import { rounded, type WeighedColour } from './common-palette.js';
import { oklabDistance } from './oklab.js';

/**
 * What binds a scene. Of the colours of its palette it is the one of which the scene has most more than the rest of the story: its share
 * on the page that has the middle place by it, less its mean share on the pages of all other scenes. A colour that is not on most pages
 * binds nothing, nor does one that is everywhere. Where a scene is the only one, it is the one with most on its middle page.
 */

/** Colours as near as this count as the same, all of it; from there to twice as far less and less. Own choice. */
const sameColour = 0.06;

/** A page with less than this of a colour, in percent, does not show it to a reader. Own choice. */
const leastPercent = 2;

/** How much of a page is in a colour, in percent. */
export function percentOf(oklab: OkLab, colours: readonly WeighedColour[]): number {
  let [near, whole] = [0, 0];
  for (const each of colours) {
    const apart = oklabDistance(oklab, each.oklab) / sameColour;
    near += each.weight * Math.min(1, Math.max(0, 2 - apart));
    whole += each.weight;
  }
  return whole === 0 ? 0 : (near * 100) / whole;
}

/**
 * @param palette the scene's
 * @param own the colours of each of its pages
 * @param others those of the pages of all other scenes
 */
export function unifyingColour(
  palette: readonly CommonColour[],
  own: readonly (readonly WeighedColour[])[],
  others: readonly (readonly WeighedColour[])[],
): UnifyingColour | undefined {
  let best: UnifyingColour | undefined;
  const leadOf = (one: UnifyingColour) => one.medianPercent - one.elsewherePercent;
  for (const { oklab } of palette) {
    const medianPercent = rounded(medianOf(own.map((colours) => percentOf(oklab, colours))), 1);
    const elsewherePercent = rounded(meanOf(others.map((colours) => percentOf(oklab, colours))), 1);
    const found = { oklab, medianPercent, elsewherePercent };
    if (medianPercent < leastPercent || leadOf(found) <= 0) continue;
    if (best === undefined || leadOf(found) > leadOf(best)) best = found;
  }
  return best;
}

/** The lower of the two in the middle: a colour on one of two pages binds neither. */
function medianOf(values: number[]): number {
  return values.sort((a, b) => a - b)[(values.length - 1) >> 1] ?? 0;
}

function meanOf(values: readonly number[]): number {
  return values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length;
}
