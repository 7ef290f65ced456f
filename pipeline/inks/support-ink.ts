import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import { atLeast } from '../by-fours.js';
import { piecesWithSeeds } from '../line/connected.js';
import { shrink } from '../line/morphology.js';
import type { Plate, Separation } from '../raster.js';

/**
 * Puts support ink beneath spotted blacks, in place: where the line covers an area at least as wide as the settings
 * ask, cyan, magenta and yellow are raised to the support, pulled back (choked) from the edge of the black, so that
 * it prints deep and a plate out of register shows no coloured rim.
 *
 * @param separation the colour beneath the line, at `ppi`
 * @param coverage share of each pixel that the line covers, 0 to 255, of the same size
 * @param inkLimitPercent the most C+M+Y+K; the support is lowered where black and support together would exceed it
 * @returns the share of the page that got support ink, in percent
 */
export function addSupportInk(
  separation: Separation,
  coverage: Plate,
  settings: SupportSettings,
  ppi: number,
  inkLimitPercent: number,
): number {
  if (!settings.enabled) return 0;
  const area = supportArea(coverage, settings, ppi);
  const { cyan, magenta, yellow } = supportLevels(settings, inkLimitPercent);
  let count = 0;
  for (let i = 0; i < area.length; i++) {
    if (area[i] === 0) continue;
    count++;
    if (separation.cyan[i] < cyan) separation.cyan[i] = cyan;
    if (separation.magenta[i] < magenta) separation.magenta[i] = magenta;
    if (separation.yellow[i] < yellow) separation.yellow[i] = yellow;
  }
  return (count / Math.max(1, area.length)) * 100;
}

/**
 * Where support goes, 255 there: beneath the whole shape of every black that is somewhere as wide as the settings ask,
 * less the choke. It follows the shape into its tips and ends where the black is no wider than two chokes, so that its
 * own edge never shows as a shape within the black.
 */
export function supportArea(coverage: Plate, settings: SupportSettings, ppi: number): Uint8Array {
  const { width, height } = coverage;
  const solid = atLeast(coverage.data, 255);
  const halfWidthPx = Math.max(1, Math.round(mmToPx(settings.minWidthMm, ppi) / 2));
  const chokePx = Math.max(1, Math.ceil(mmToPx(settings.chokeMm, ppi)));
  const core = shrink(solid, width, height, Math.max(halfWidthPx, chokePx));
  if (!core.includes(255)) return core;
  const choked = shrink(solid, width, height, chokePx);
  return piecesWithSeeds(choked, core, width, height);
}

/** The support in 8-bit ink amounts, lowered evenly where it would not fit beneath 100 % black. */
function supportLevels(settings: SupportSettings, inkLimitPercent: number) {
  const { cyan, magenta, yellow } = settings.inkPercent;
  const room = Math.max(0, inkLimitPercent - 100);
  const scale = Math.min(1, room / Math.max(1, cyan + magenta + yellow));
  const level = (percent: number) => Math.floor(percent * scale * 2.55);
  return { cyan: level(cyan), magenta: level(magenta), yellow: level(yellow) };
}
