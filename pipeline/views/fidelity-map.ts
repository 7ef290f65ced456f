import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx, type SizePx } from '../../config/units.js';
import { differencesAt } from '../inks/fidelity.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import { coverageOf } from '../line/coverage.js';
import type { Fidelity } from '../model/fidelity.js';
import type { HeatMap } from '../model/places.js';
import type { Bitmap, Raster } from '../model/raster.js';
import type { Separation } from '../model/separation.js';

/** A page of which it is known that it does not print as painted somewhere. */
export interface DifferingPage {
  readonly composite: Separation;
  readonly line: Bitmap | undefined;
  readonly painted: Raster;
  readonly profile: Uint8Array | undefined;
  readonly fidelity: Fidelity;
}

/** Pixels looked at across the longer side of a page: 30,000 in all, some 20 ms. */
const longestPx = 200;

/** CIEDE2000 that a step of the map is worth. */
const perStep = 0.25;

/** How far around its middle one of the worst places is shown, in millimetres. Own choice. */
const placeMm = 1.5;

/**
 * How far print is from paint, all over a page, black line aside: looked at every few pixels, and at the worst places, which were found on
 * a finer sample.
 */
export function fidelityMap(
  page: DifferingPage,
  spec: Pick<PrintSpec, 'colourPpi' | 'bleedMm'>,
  separator: Separator,
  arena: PageArena,
): HeatMap {
  const { composite, painted, profile, fidelity } = page;
  const share = Math.min(1, longestPx / Math.max(composite.width, composite.height));
  const size = {
    width: Math.max(1, Math.round(composite.width * share)),
    height: Math.max(1, Math.round(composite.height * share)),
  };
  const pixels = gridOf(composite, size);
  const printed = { colour: undefined, painted, profile, coverage: undefined, plates: composite, composite };
  const differences = differencesAt(printed, pixels, separator, arena);
  const covered = page.line === undefined ? undefined : coverageOf(page.line, composite, arena).data;
  const values = Uint8Array.from(differences, (de, n) => (covered?.[pixels[n]] ? 0 : stepsOf(de)));
  const ppi = spec.colourPpi * share;
  const map = { ...size, ppi, values, perStep, unit: 'CIEDE2000' };
  for (const { xMm, yMm, mostDe } of fidelity.places) {
    raise(map, mmToPx(xMm + spec.bleedMm, ppi), mmToPx(yMm + spec.bleedMm, ppi), mostDe);
  }
  return map;
}

function stepsOf(de: number): number {
  return Math.min(255, Math.round(de / perStep));
}

/** Pixels of a page, one in the middle of each square of a coarser grid. */
function gridOf(page: SizePx, size: SizePx): Int32Array {
  const at = (n: number, fine: number, coarse: number) => Math.floor(((n + 0.5) * fine) / coarse);
  return Int32Array.from({ length: size.width * size.height }, (_, n) => {
    const [x, y] = [n % size.width, Math.floor(n / size.width)];
    return at(y, page.height, size.height) * page.width + at(x, page.width, size.width);
  });
}

/** A disc of at least this figure. */
function raise({ width, height, values, ppi }: HeatMap, middleX: number, middleY: number, de: number): void {
  const radius = Math.max(1, mmToPx(placeMm, ppi));
  const step = stepsOf(de);
  for (let y = Math.max(0, Math.floor(middleY - radius)); y < Math.min(height, middleY + radius); y++) {
    for (let x = Math.max(0, Math.floor(middleX - radius)); x < Math.min(width, middleX + radius); x++) {
      if (Math.hypot(x + 0.5 - middleX, y + 0.5 - middleY) > radius) continue;
      values[y * width + x] = Math.max(values[y * width + x], step);
    }
  }
}
