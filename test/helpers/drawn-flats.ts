import type { Bitmap, Raster } from '../../pipeline/model/raster.js';
import { bitsOf, plateOf, seeded } from './rasters.js';

/** A page of flats as a helper draws it: areas with wavering borders, and the line that runs along them. */
export interface DrawnFlats {
  readonly flats: Raster;
  readonly line: Bitmap;
  /** Which area each pixel belongs to, row by row. */
  readonly areas: Uint16Array;
}

export type Rgb = readonly [number, number, number];

export const white: Rgb = [255, 255, 255];

/** Colours that are far apart; the first is bare paper. */
function paletteOf(count: number, seed = 5): Rgb[] {
  const noise = seeded(seed);
  const level = () => 30 + 12 * Math.floor(noise() * 17);
  return Array.from({ length: count }, (_, at) => (at === 0 ? white : [level(), level() - 1, level() + 2]));
}

/**
 * Draws areas around scattered middles. Flats meet in the middle of the line.
 * @param linePx how wide the line is, in pixels; 0 draws none
 */
export function drawFlats(width: number, height: number, areas = 12, linePx = 6, seed = 7): DrawnFlats {
  const noise = seeded(seed);
  const middles = Array.from({ length: areas }, () => [noise() * width, noise() * height]);
  const palette = paletteOf(areas);
  const labels = new Uint16Array(width * height);
  const depths = new Float32Array(width * height);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      const [atX, atY] = [x + 5 * Math.sin(y / 17), y + 5 * Math.sin(x / 13)];
      let [first, second] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
      for (let area = 0; area < areas; area++) {
        const away = Math.hypot(atX - middles[area][0], atY - middles[area][1]);
        if (away < first) {
          [second, first] = [first, away];
          labels[i] = area;
        } else if (away < second) second = away;
      }
      depths[i] = second - first;
    }
  }
  const line = bitsOf(plateOf(width, height, (x, y) => (depths[y * width + x] < linePx ? 255 : 0)));
  return { flats: flatsOfAreas(labels, width, palette), line, areas: labels };
}

/** A picture in which each area has its colour. */
function flatsOfAreas(areas: Uint16Array, width: number, palette: readonly Rgb[]): Raster {
  const data = new Uint8Array(areas.length * 3);
  for (let i = 0; i < areas.length; i++) data.set(palette[areas[i]], 3 * i);
  return { width, height: areas.length / width, model: 'rgb', alpha: false, data };
}

/** The same picture with other colours in some pixels. */
export function painted(
  flats: Raster,
  pixels: readonly { x: number; y: number; colour: readonly number[] }[],
): Raster {
  const data = flats.data.slice();
  const channels = data.length / (flats.width * flats.height);
  for (const { x, y, colour } of pixels) data.set(colour, (y * flats.width + x) * channels);
  return { ...flats, data };
}

/** All pixels of a box in one colour. */
export function boxIn(left: number, top: number, width: number, height: number, colour: readonly number[]) {
  return Array.from({ length: width * height }, (_, i) => {
    return { x: left + (i % width), y: top + Math.floor(i / width), colour };
  });
}
