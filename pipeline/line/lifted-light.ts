import type { LineSettings } from '../../config/print-spec.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Bitmap, Plate, Raster } from '../model/raster.js';
import { bitmapOf, eachSet } from './bitmap.js';
import { shrink } from './morphology.js';
import { toneOf } from './tone.js';

/**
 * Light on line that was lifted. What is ink was told pixel by pixel already, with colour that JPEG let bleed into it and with a
 * soft edge; so light shows only within blacks, clear of both.
 */

/** So far within, in pixels. */
const withinPx = 1;

/** A page's own black is as bright as this share of what lies within its blacks. Own choice. */
const ownShare = 0.1;

/**
 * How much brighter than the page's own black the line is.
 * @param painted rgb or grey without alpha, as it came
 * @param coverage share of each pixel that line covers, 0 to 255
 */
export function lightOnLifted(
  painted: Raster,
  coverage: Plate,
  settings: Pick<LineSettings, 'blackMaxChromaPercent'>,
  arena: PageArena,
): Plate {
  const { width, height } = coverage;
  const light = new Uint8Array(width * height);
  const within = shrink(bitmapOf(coverage.data, coverage, 255, arena), withinPx, arena);
  arena.borrow(() => {
    const { data: tone } = toneOf(painted, settings, arena);
    const own = ownBlack(tone, within);
    eachSet(within, (i) => {
      light[i] = Math.max(0, tone[i] - own);
    });
  });
  return { width, height, data: light };
}

function ownBlack(tone: Uint8Array, within: Bitmap): number {
  const counts = new Uint32Array(256);
  let all = 0;
  eachSet(within, (i) => {
    counts[tone[i]]++;
    all++;
  });
  let level = 0;
  for (let below = counts[0]; below < ownShare * all; below += counts[level]) level++;
  return level;
}
