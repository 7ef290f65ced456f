import type { Separator } from '../inks/separator.js';
import type { HeatMap } from '../model/places.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';

/** A page as it was painted. */
export interface PaintedPage {
  /** As painted, or the colour beneath the line; trim plus bleed. */
  readonly raster: Raster;
  readonly profile: Uint8Array | undefined;
  /** Share of each pixel that line covers, of the same size; undefined without line. */
  readonly coverage: Plate | undefined;
}

/** Resolution of the map: a cell is what a finger's width has thirty of. Own choice. */
const mapPpi = 60;

/** A difference is kept in steps of this much, up to 63.75. */
const stepDe = 0.25;

/** From here on a pixel is line, of 255. */
const lineLevel = 128;

/**
 * How far the press misses each spot of a page: CIEDE2000, asked of one pixel in each cell of a map. Black line prints as black ink and
 * misses nothing.
 * @param ppi of the page
 * @returns undefined for what has no colour that could be missed: not RGB, or printed in black alone
 */
export function measureGamut(
  { raster, profile, coverage }: PaintedPage,
  ppi: number,
  separator: Pick<Separator, 'gamutOf'>,
): HeatMap | undefined {
  const table = separator.gamutOf(raster, profile);
  if (table === undefined) return undefined;
  const step = Math.max(1, Math.round(ppi / mapPpi));
  const [width, height] = [Math.ceil(raster.width / step), Math.ceil(raster.height / step)];
  const values = new Uint8Array(width * height);
  const channels = channelsOf(raster);
  const scale = 1 / maxOf(raster);
  const { data } = raster;
  for (let y = 0, cell = 0; y < height; y++) {
    for (let x = 0; x < width; x++, cell++) {
      const pixel = pixelIn(x, y, step, raster, cell);
      if (coverage !== undefined && coverage.data[pixel] >= lineLevel) continue;
      const at = pixel * channels;
      const de = table.differenceAt(data[at] * scale, data[at + 1] * scale, data[at + 2] * scale);
      values[cell] = Math.min(255, Math.round(de / stepDe));
    }
  }
  return { width, height, ppi: ppi / step, values, perStep: stepDe, unit: 'CIEDE2000' };
}

/** The pixel that is asked for a cell: somewhere within it, so that no pattern of the page falls in with the map. */
function pixelIn(x: number, y: number, step: number, page: Raster, cell: number): number {
  const column = Math.min(page.width - 1, x * step + Math.floor(scattered(cell) * step));
  const row = Math.min(page.height - 1, y * step + Math.floor(scattered(cell ^ 0x5bd1) * step));
  return row * page.width + column;
}

/** The same number between 0 and 1 for the same k: a linear congruential step (Numerical Recipes), twice, for its upper bits. */
function scattered(k: number): number {
  const once = Math.imul(k, 1664525) + 1013904223;
  return (Math.imul(once ^ (once >>> 15), 1664525) >>> 8) / 2 ** 24;
}

/** What a map of missed colours comes to. */
export interface GamutFigures {
  /** Share of the page that is missed by more than a limit, percent. */
  readonly percent: number;
  /** CIEDE2000 over the whole page: mean, what 95 % of it does not exceed, and the most. */
  readonly meanDe: number;
  readonly p95De: number;
  readonly mostDe: number;
}

/** @param limitDe a spot is missed where it is farther off than this */
export function gamutFigures({ values, perStep }: HeatMap, limitDe: number): GamutFigures {
  const counts = new Uint32Array(256);
  for (const value of values) counts[value]++;
  let [sum, over, most, within, p95] = [0, 0, 0, 0, 0];
  for (let value = 0; value < 256; value++) {
    sum += counts[value] * value;
    if (value * perStep > limitDe) over += counts[value];
    if (counts[value] > 0) most = value;
    if (within < 0.95 * values.length) p95 = value;
    within += counts[value];
  }
  return {
    percent: (over * 100) / values.length,
    meanDe: (sum * perStep) / values.length,
    p95De: p95 * perStep,
    mostDe: most * perStep,
  };
}
