import type { LineSettings } from '../../config/print-spec.js';
import { sumOf } from '../kernels/samples.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../raster.js';
import { bitmapOf, isSet } from './bitmap.js';
import { fillBeneath } from './lift.js';
import { showsLine } from './line-shown.js';
import { grow } from './morphology.js';

/**
 * A colour part that came beside a line part either shows the colour beneath the line, or it was saved with the line
 * painted in. In the second case it tells which line is a hold: where it is not black, the line prints in colour.
 */
export interface PaintedLine {
  /** The colour part shows the line. */
  readonly painted: boolean;
  /** The colour beneath the line that stays black; the colour part itself where no line is painted in. */
  readonly colour: Raster;
  /** Where the line is held for the colour plates, at the size of the colour; undefined where none is. */
  readonly held: Bitmap | undefined;
  /** Share of the line area that is held, in percent. */
  readonly heldPercent: number;
}

/** Pixels covered at least this far (of 255) by line show what the line itself looks like: three quarters. */
const coreCoverage = 191;

/** Reach of a held piece beyond its core, in colour pixels, so that its soft edge goes with it. */
const heldReachPx = 2;

/**
 * @param colour rgb or grey without alpha, at the size of the coverage; CMYK is never searched (its numbers stand)
 * @param coverage share of each pixel that line covers, 0 to 255
 */
export function findPaintedLine(colour: Raster, coverage: Plate, settings: LineSettings): PaintedLine {
  const asIs = { painted: false, colour, held: undefined, heldPercent: 0 };
  if (colour.model === 'cmyk') return asIs;
  if (!showsLine(colour, coverage, coreCoverage, settings)) return asIs;
  const core = colouredCore(colour, coverage.data, settings);
  const held = core === undefined ? undefined : grow(bitmapOf(core, colour, 255), heldReachPx);
  const covered = held === undefined ? coverage.data : withoutHeld(coverage, held);
  const area = sumOf(coverage.data);
  return {
    painted: true,
    colour: fillBeneath(colour, covered),
    held,
    heldPercent: area === 0 ? 0 : ((area - sumOf(covered)) / area) * 100,
  };
}

function withoutHeld({ width, height, data }: Plate, held: Bitmap): Uint8Array {
  const covered = new Uint8Array(data);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) if (covered[i] !== 0 && isSet(held, x, y)) covered[i] = 0;
  }
  return covered;
}

/** Well covered pixels that are not black; undefined when there are none. */
function colouredCore(colour: Raster, coverage: Uint8Array, settings: LineSettings): Uint8Array | undefined {
  const { data } = colour;
  const channels = channelsOf(colour);
  const green = channels === 1 ? 0 : 1;
  const full = maxOf(colour);
  const mask = new Uint8Array(coverage.length);
  let any = false;
  for (let i = 0, j = 0; i < coverage.length; i++, j += channels) {
    if (coverage[i] < coreCoverage) continue;
    const high = Math.max(data[j], data[j + green], data[j + 2 * green]) / full;
    const low = Math.min(data[j], data[j + green], data[j + 2 * green]) / full;
    // What the line leaves uncovered may show any colour, so both tolerances widen by that share.
    const uncovered = 1 - coverage[i] / 255;
    const isBlack =
      high <= settings.blackMaxLevelPercent / 100 + uncovered &&
      high - low <= settings.blackMaxChromaPercent / 100 + uncovered;
    if (isBlack) continue;
    mask[i] = 255;
    any = true;
  }
  return any ? mask : undefined;
}
