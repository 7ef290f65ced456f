import type { LineSettings } from '../../config/print-spec.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../raster.js';
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
  /** 255 where the line is held for the colour plates, at the size of the colour; undefined where none is. */
  readonly held: Plate | undefined;
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
  const { width, height } = colour;
  const reach = core === undefined ? undefined : grow(core, width, height, heldReachPx);
  const covered = new Uint8Array(coverage.data);
  let heldArea = 0;
  let area = 0;
  for (let i = 0; i < covered.length; i++) {
    area += covered[i];
    if (reach === undefined || reach[i] === 0) continue;
    heldArea += covered[i];
    covered[i] = 0;
  }
  return {
    painted: true,
    colour: fillBeneath(colour, covered),
    held: reach === undefined ? undefined : { width, height, data: reach },
    heldPercent: area === 0 ? 0 : (heldArea / area) * 100,
  };
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
