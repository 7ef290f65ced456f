import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { bitmapOf, countSet, inRows, rowsAtOnce } from '../line/bitmap.js';
import { piecesWithSeeds } from '../line/connected.js';
import { shrink } from '../line/morphology.js';
import type { Bitmap, Plate } from '../model/raster.js';
import { processPlanes, type Separation } from '../model/separation.js';

/**
 * Puts support ink beneath spotted blacks, in place: where the line covers an area at least as wide as the settings
 * ask, cyan, magenta and yellow become the support whatever was there, pulled back (choked) from the edge of the black, so that
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
  memory: KernelMemory,
): number {
  if (!settings.enabled) return 0;
  const area = supportArea(coverage, settings, ppi, memory);
  const count = countSet(area, memory);
  if (count === 0) return 0;
  const planes = processPlanes(separation);
  for (const [i, level] of supportLevels(settings, inkLimitPercent).entries()) {
    setWithin(area, planes[i], level, memory);
  }
  return (count / (area.width * area.height)) * 100;
}

/** Makes ink a level wherever the area is set. */
function setWithin(area: Bitmap, ink: Uint8Array, level: number, memory: KernelMemory): void {
  const { width, rowBytes, bits } = area;
  const [mask, samples] = memory.scratch(rowsAtOnce(width) * rowBytes, rowsAtOnce(width) * width);
  inRows(area, (y, rows) => {
    const band = ink.subarray(y * width, (y + rows) * width);
    const set = memory.addressOf(bits.subarray(y * rowBytes, (y + rows) * rowBytes), mask);
    const at = memory.addressOf(band, samples);
    memory.kernels.setRows(set, rowBytes, at, width, rows, level);
    memory.store(at, band);
  });
}

/**
 * Where support goes: beneath the whole shape of every black that is somewhere as wide as the settings ask,
 * less the choke. It follows the shape into its tips and ends where the black is no wider than two chokes, so that its
 * own edge never shows as a shape within the black.
 */
export function supportArea(
  coverage: Plate,
  settings: SupportSettings,
  ppi: number,
  memory: KernelMemory,
): Bitmap {
  const solid = bitmapOf(coverage.data, coverage, 255, memory);
  const halfWidthPx = Math.max(1, Math.round(mmToPx(settings.minWidthMm, ppi) / 2));
  const chokePx = Math.max(1, Math.ceil(mmToPx(settings.chokeMm, ppi)));
  const core = shrink(solid, Math.max(halfWidthPx, chokePx), memory);
  return countSet(core, memory) === 0 ? core : piecesWithSeeds(shrink(solid, chokePx, memory), core);
}

/** The support in 8-bit amounts of cyan, magenta and yellow, lowered evenly where it would not fit beneath 100 % black. */
function supportLevels(settings: SupportSettings, inkLimitPercent: number): number[] {
  const { cyan, magenta, yellow } = settings.inkPercent;
  const headroom = Math.max(0, inkLimitPercent - 100);
  const scale = Math.min(1, headroom / Math.max(1, cyan + magenta + yellow));
  return [cyan, magenta, yellow].map((percent) => Math.floor(percent * scale * 2.55));
}
