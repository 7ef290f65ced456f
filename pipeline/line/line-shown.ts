import type { LineSettings } from '../../config/print-spec.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../raster.js';
import { bitmapOf, lowestBit, wordsOf } from './bitmap.js';
import { grow, shrink } from './morphology.js';

/**
 * Whether a colour part shows the line, told from its thin strokes. Large blacks tell nothing: colourists like to fill
 * them with something dark beneath, and whoever takes that for painted-in line loses all the other line of the page.
 */

/** Half the width of the widest stroke that counts, in colour pixels: half a millimetre at 300 ppi. Our own choice. */
const thinHalfPx = 6;

/** How far the colour beside a stroke is looked for, in pixels: across the stroke and its soft edge. */
const lookPx = 2 * thinHalfPx + 4;

/** A stroke shows when it is darker than everything beside it by this much of 255. Above noise and JPEG's traces. */
const darkerBy = 24;

/** Of the strokes that tell something, at least this share has to show. */
const shownShare = 0.5;

/** Fewer pixels than this tell nothing. */
const leastTelling = 24;

/** Every third pixel is asked, along diagonals, so that no stroke is passed over. */
const everyPx = 3;

/** The eight directions, as steps across and down by turns. */
const around = Int8Array.of(1, 0, 1, 1, 0, 1, -1, 1, -1, 0, -1, -1, 0, -1, 1, -1);

/**
 * @param colour rgb or grey without alpha, at the size of the coverage
 * @param coverage share of each pixel that line covers, 0 to 255
 * @param coreCoverage pixels covered at least this far count as line
 */
export function showsLine(
  colour: Raster,
  coverage: Plate,
  coreCoverage: number,
  settings: Pick<LineSettings, 'blackMaxLevelPercent'>,
): boolean {
  const core = bitmapOf(coverage.data, coverage, coreCoverage);
  const thick = wordsOf(grow(shrink(core, thinHalfPx), thinHalfPx + 1));
  const words = wordsOf(core);
  const wordsInRow = core.rowBytes >> 2;
  const blackTo = (settings.blackMaxLevelPercent / 100) * 255;
  let shown = 0;
  let hidden = 0;
  for (let at = 0; at < words.length; at++) {
    const y = Math.floor(at / wordsInRow);
    const start = (at - y * wordsInRow) * 32;
    for (let thin = words[at] & ~thick[at]; thin !== 0; thin &= thin - 1) {
      const x = start + lowestBit(thin);
      if (x % everyPx !== y % everyPx) continue;
      const told = strokeShows(colour, coverage, x, y, blackTo);
      if (told === true) shown++;
      else if (told === false) hidden++;
    }
  }
  return shown + hidden >= leastTelling && shown >= shownShare * (shown + hidden);
}

/** Whether the stroke is darker than the colour beside it; undefined where that is black itself or out of reach. */
function strokeShows(
  colour: Raster,
  coverage: Plate,
  x: number,
  y: number,
  blackTo: number,
): boolean | undefined {
  const own = lumaAt(colour, y * colour.width + x);
  let asked = 0;
  for (let i = 0; i < around.length; i += 2) {
    const beside = besideStroke(coverage, x, y, around[i], around[i + 1]);
    if (beside < 0) continue;
    const light = lumaAt(colour, beside);
    if (light <= blackTo) continue;
    if (light - own < darkerBy) return false;
    asked++;
  }
  return asked === 0 ? undefined : true;
}

/** Index of the second pixel without line in one direction (the first may have a soft edge); -1 where there is none. */
function besideStroke(
  { width, height, data }: Plate,
  x: number,
  y: number,
  stepX: number,
  stepY: number,
): number {
  const inside = Math.min(stepsInside(x, stepX, width), stepsInside(y, stepY, height));
  const most = Math.min(lookPx, inside);
  const stride = stepY * width + stepX;
  for (let step = 1, at = y * width + x + stride; step <= most; step++, at += stride) {
    if (data[at] !== 0) continue;
    return step < inside && data[at + stride] === 0 ? at + stride : at;
  }
  return -1;
}

/** How many steps lead from a place to the last one within a length. */
function stepsInside(place: number, step: number, length: number): number {
  if (step === 0) return length;
  return step > 0 ? length - 1 - place : place;
}

/** Brightness of a pixel, 0 to 255, with the weights of ITU-R BT.601. */
function lumaAt(picture: Raster, pixel: number): number {
  const { data } = picture;
  const channels = channelsOf(picture);
  const at = pixel * channels;
  const scale = maxOf(picture) / 255;
  if (channels < 3) return data[at] / scale;
  return (data[at] * 0.299 + data[at + 1] * 0.587 + data[at + 2] * 0.114) / scale;
}
