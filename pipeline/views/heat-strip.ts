import type { SizePx } from '../../config/units.js';
import type { HeatMap } from '../model/places.js';
import { type HeatRole, type HeatScale, heatOpacity, heatScales, stepOfValues } from './heat-scales.js';
import { indexedPng, type PaletteColour } from './indexed-png.js';

/** A heat picture: what it is of, and its figures. */
export interface Heat {
  readonly role: HeatRole;
  readonly map: HeatMap;
}

/** Percent that a step of the ink map is worth: 510 steps of it would be all that four inks can be. */
const inkPerStep = 2;

/**
 * How much ink lies where: of each square of two by two pixels the most, so that what is narrow is not lost.
 * @param planes of the process inks, 0 no ink, 255 full ink, of one size
 * @param ppi of the planes
 */
export function inkMap(planes: readonly Uint8Array[], { width, height }: SizePx, ppi: number): HeatMap {
  const size = { width: Math.ceil(width / 2), height: Math.ceil(height / 2) };
  const values = new Uint8Array(size.width * size.height);
  const [cyan, magenta, yellow, black] = planes;
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      const percent = ((cyan[i] + magenta[i] + yellow[i] + black[i]) * 100) / 255;
      const at = (y >> 1) * size.width + (x >> 1);
      values[at] = Math.max(values[at], Math.round(percent / inkPerStep));
    }
  }
  return { ...size, ppi: ppi / 2, values, perStep: inkPerStep, unit: 'percent' };
}

/**
 * Heat pictures of one page, the first on top, in one PNG: clear where nothing is to be shown.
 * @param size of each; maps of other sizes are taken to it, pixel by pixel
 */
export function heatStrip(heats: readonly Heat[], size: SizePx): Uint8Array {
  const indexes = new Uint8Array(size.width * size.height * heats.length);
  for (const [tile, { role, map }] of heats.entries()) {
    const from = tile * size.width * size.height;
    fillTile(
      indexes.subarray(from, from + size.width * size.height),
      size,
      map,
      stepOfValues(heatScales[role], map),
    );
  }
  const strip = { width: size.width, height: size.height * heats.length };
  return indexedPng(strip, indexes, paletteOf(heatScales['ink-coverage']));
}

/** All scales have the same colours. */
function paletteOf({ steps }: HeatScale): PaletteColour[] {
  return [[255, 255, 255, 0], ...steps.map(({ rgb }): PaletteColour => [...rgb, heatOpacity])];
}

function fillTile(tile: Uint8Array, size: SizePx, map: HeatMap, steps: Uint8Array): void {
  const columns = Int32Array.from({ length: size.width }, (_, x) =>
    Math.floor(((x + 0.5) * map.width) / size.width),
  );
  for (let y = 0, to = 0; y < size.height; y++) {
    const row = Math.floor(((y + 0.5) * map.height) / size.height) * map.width;
    for (let x = 0; x < size.width; x++) tile[to++] = steps[map.values[row + columns[x]]];
  }
}
