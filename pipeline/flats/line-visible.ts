import { findChanges, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';
import { type ColourRuns, endOf } from './colour-runs.js';

/** Whether flats were saved with the layer of the line shown: then every line cuts them, and all else that is measured is about the line. */

/** Every so many rows are looked at. */
const rowStep = 8;

/** Less ink than this share of the page tells nothing. */
const leastInkShare = 0.002;

/** The line shows where this share of all ink has one dark colour in the flats, and that colour is hardly anywhere else. Own choice. */
const onInkShare = 0.6;
const ofColourShare = 0.6;

/** How bright a colour may be that stands for ink, of 255 in every channel. */
const mostLevel = 64;

/** @param ink line over the flats, of their size */
export function isLineVisible(runs: ColourRuns, ink: Bitmap): boolean {
  const onInk = new Float64Array(runs.keys.length);
  const inAll = new Float64Array(runs.keys.length);
  const words = wordsOf(ink);
  const inRow = ink.rowBytes >> 2;
  const changes = new Uint32Array(ink.width + 1);
  let [inkPx, pixels] = [0, 0];
  for (let y = 0; y < runs.height; y += rowStep) {
    const count = findChanges(words, y * inRow, inRow, changes);
    if (count % 2 === 1) changes[count] = ink.width;
    let change = 0;
    for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
      const [start, end] = [runs.starts[run], endOf(runs, run, y)];
      inAll[runs.colours[run]] += end - start;
      while (change < count && changes[change + 1] <= start) change += 2;
      for (let at = change; at < count && changes[at] < end; at += 2) {
        const within = Math.min(end, changes[at + 1]) - Math.max(start, changes[at]);
        onInk[runs.colours[run]] += within;
        inkPx += within;
      }
    }
    pixels += runs.width;
  }
  if (inkPx < leastInkShare * pixels) return false;
  const shown = onInk.reduce((best, px, colour) => (px > onInk[best] ? colour : best), 0);
  return (
    isDark(runs.keys[shown]) &&
    onInk[shown] >= onInkShare * inkPx &&
    onInk[shown] >= ofColourShare * inAll[shown]
  );
}

function isDark(key: number): boolean {
  return key >>> 24 === 255 && [0, 8, 16].every((shift) => ((key >>> shift) & 255) <= mostLevel);
}
