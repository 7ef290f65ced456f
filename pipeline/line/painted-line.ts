import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { bitmapOf, emptyBitmap, inRows, rowsAtOnce } from './bitmap.js';
import { coreCoverage, fillBeneath } from './fill-beneath.js';
import { showsLine } from './line-shown.js';
import { shareWithin } from './masks.js';
import { grow } from './morphology.js';

/**
 * A colour part that came beside a line part either shows the colour beneath the line, or it was saved with the line
 * painted in. In the second case it tells which line is a hold: where it is not black, the line prints in colour.
 */
export interface PaintedLine {
  /** The colour part shows the line. */
  readonly painted: boolean;
  /** The colour part; where it shows the line, what shows line that stays black is filled with the colour around it. */
  readonly colour: Raster;
  /** The colour part as it came, where it shows the line. */
  readonly original: Raster | undefined;
  /** Where the line is held for the colour plates, at the size of the colour; undefined where none is. */
  readonly held: Bitmap | undefined;
  /** Share of the line area that is held, in percent. */
  readonly heldPercent: number;
}

/** Reach of a held piece beyond its core, in colour pixels, so that its soft edge goes with it. */
const heldReachPx = 2;

/**
 * @param colour rgb or grey without alpha, at the size of the coverage, filled in place where it shows the line; CMYK is
 *   never searched (its numbers stand)
 * @param coverage share of each pixel that line covers, 0 to 255
 * @param depthPx how far colour is carried in under the line (fillDepthPx)
 */
export function findPaintedLine(
  colour: Raster,
  coverage: Plate,
  settings: LineSettings,
  depthPx: number,
  arena: PageArena,
): PaintedLine {
  const asIs = { painted: false, colour, original: undefined, held: undefined, heldPercent: 0 };
  if (colour.model === 'cmyk') return asIs;
  if (!showsLine(colour, coverage, coreCoverage, settings, arena)) return asIs;
  const original = { ...colour, data: colour.data.slice() };
  const core = colouredCore(colour, coverage.data, settings, arena);
  const held = core === undefined ? undefined : grow(core, heldReachPx, arena);
  const covered = bitmapOf(coverage.data, colour, 1, arena);
  if (held !== undefined) for (let i = 0; i < held.bits.length; i++) covered.bits[i] &= ~held.bits[i];
  fillBeneath(colour, covered, coverage.data, depthPx, arena);
  const heldPercent = held === undefined ? 0 : shareWithin(coverage, held, arena) * 100;
  return { painted: true, colour, original, held, heldPercent };
}

/** Well covered pixels that are not black; undefined when there are none. */
function colouredCore(
  colour: Raster,
  coverage: Uint8Array,
  settings: LineSettings,
  memory: KernelMemory,
): Bitmap | undefined {
  const core = emptyBitmap(colour);
  const { width } = colour;
  const samples = new Uint8Array(rowsAtOnce(width) * width);
  let any = false;
  inRows(colour, (y, rows) => {
    const band = samples.subarray(0, rows * width).fill(0);
    if (!markColoured(colour, coverage, settings, y * width, band)) return;
    any = true;
    core.bits.set(bitmapOf(band, { width, height: rows }, 255, memory).bits, y * core.rowBytes);
  });
  return any ? core : undefined;
}

/** Marks what of a band, from pixel `first` on, is well covered and not black; says whether any of it is. */
function markColoured(
  colour: Raster,
  coverage: Uint8Array,
  settings: LineSettings,
  first: number,
  band: Uint8Array,
): boolean {
  const { data } = colour;
  const channels = channelsOf(colour);
  const green = channels === 1 ? 0 : 1;
  const full = maxOf(colour);
  let any = false;
  for (let pixel = 0, i = first, j = first * channels; pixel < band.length; pixel++, i++, j += channels) {
    if (coverage[i] < coreCoverage) continue;
    const high = Math.max(data[j], data[j + green], data[j + 2 * green]) / full;
    const low = Math.min(data[j], data[j + green], data[j + 2 * green]) / full;
    // What the line leaves uncovered may show any colour, so both tolerances widen by that share.
    const uncovered = 1 - coverage[i] / 255;
    const isBlack =
      high <= settings.blackMaxLevelPercent / 100 + uncovered &&
      high - low <= settings.blackMaxChromaPercent / 100 + uncovered;
    if (isBlack) continue;
    band[pixel] = 255;
    any = true;
  }
  return any;
}
