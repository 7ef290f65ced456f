import type { LineSettings } from '../../config/print-spec.js';
import type { Plate, Raster } from '../model/raster.js';
import { levelAt, toneAt } from './tone.js';

/**
 * Whether a colour part shows large blacks, for pages whose strokes tell nothing. Colour beneath a black may be anything, and is
 * often dark; but only a black that was painted in ends, all along, where the line does. Where it was painted in, light across
 * it is part of the page.
 */

/** Inside and beside a border the colour is read so far from it, in pixels: clear of its soft edge, and of little else. */
const awayPx = 3;

/** Every third row and column is asked. */
const everyPx = 3;

/** A border shows where the colour beside is brighter than what is within by so much of 255. Above JPEG's traces. */
const brighterBy = 24;

/** Of the places that tell something, at least this share has to show: colour that was filled in by hand strays. */
const shownShare = 0.6;

/** Fewer places than this tell nothing. */
const leastTelling = 40;

/** Of large blacks that were painted in, at least this share is black: light lies on the rest. A fill in a dark colour has none. */
const leastBlack = 1 / 3;

/**
 * @param colour rgb or grey without alpha, at the size of the coverage
 * @param coverage share of each pixel that line covers, 0 to 255
 */
export function showsBlacks(
  colour: Raster,
  coverage: Plate,
  settings: Pick<LineSettings, 'blackMaxLevelPercent' | 'blackMaxChromaPercent'>,
): boolean {
  const blackTo = (settings.blackMaxLevelPercent / 100) * 255;
  const { shown, hidden } = countBorders(colour, coverage, blackTo);
  const tells = shown + hidden >= leastTelling && shown >= shownShare * (shown + hidden);
  return tells && blackShare(colour, coverage, settings, blackTo) >= leastBlack;
}

/** How much of what line covers is black in the colour, 0 to 1. */
function blackShare(
  colour: Raster,
  { width, height, data }: Plate,
  settings: Pick<LineSettings, 'blackMaxChromaPercent'>,
  blackTo: number,
): number {
  let [covered, black] = [0, 0];
  for (let y = 0; y < height; y += everyPx) {
    for (let x = 0; x < width; x += everyPx) {
      const i = y * width + x;
      if (data[i] !== 255) continue;
      covered++;
      if (toneAt(colour, i, settings) <= blackTo) black++;
    }
  }
  return covered === 0 ? 0 : black / covered;
}

/** Walks along rows and columns, and asks wherever line ends. */
function countBorders(
  colour: Raster,
  { width, height, data }: Plate,
  blackTo: number,
): { shown: number; hidden: number } {
  const counts = { shown: 0, hidden: 0 };
  const ask = (last: number, first: number, step: number) => {
    if (!isLargeBorder(data, last, first, step)) return;
    const within = levelAt(colour, last - (awayPx - 1) * step);
    const beside = levelAt(colour, first + (awayPx - 1) * step);
    // Light may lie right on the border: it still is one.
    if (beside >= within + brighterBy) counts.shown++;
    // Dark on both sides tells nothing.
    else if (beside > blackTo) counts.hidden++;
  };
  for (let y = 0; y < height; y += everyPx) eachEnd(data, y * width, (y + 1) * width, 1, ask);
  for (let x = 0; x < width; x += everyPx) eachEnd(data, x, x + width * height, width, ask);
  return counts;
}

/** Calls for each place where line ends along a row or column, with its last full pixel and the first one beside it, in both directions. */
function eachEnd(
  coverage: Uint8Array,
  from: number,
  to: number,
  step: number,
  ask: (last: number, first: number, step: number) => void,
): void {
  const reach = (2 * awayPx - 1) * step;
  for (let i = from + reach; i + reach < to; i += step) {
    if (coverage[i] !== 255) continue;
    const after = emptyAfter(coverage, i, step);
    if (after !== undefined) ask(i, after, step);
    const before = emptyAfter(coverage, i, -step);
    if (before !== undefined) ask(i, before, -step);
  }
}

/** The first pixel without line, where line ends right here: over one soft pixel at most. */
function emptyAfter(coverage: Uint8Array, i: number, step: number): number | undefined {
  if (coverage[i + step] === 0) return i + step;
  if (coverage[i + step] < 255 && coverage[i + 2 * step] === 0) return i + 2 * step;
  return undefined;
}

/** Whether line lies as far within as it is read, twice, and none as far beside. */
function isLargeBorder(coverage: Uint8Array, last: number, first: number, step: number): boolean {
  for (let away = 1; away < 2 * awayPx; away++) if (coverage[last - away * step] !== 255) return false;
  for (let away = 1; away < awayPx; away++) if (coverage[first + away * step] !== 0) return false;
  return true;
}
