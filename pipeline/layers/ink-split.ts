import { type BlackTolerance, isBlack } from './black.js';
import { full16 } from './blend.js';
import type { Tile } from './tiles.js';

/**
 * Splits a pixel into paint and the black on top of it. Black of alpha t over paint (P, b) looks like the pixel (C, a)
 * when a = t + b (1 - t) and a C = b (1 - t) P; with C = c P that is t = a (1 - c) and b = a c / (1 - t). This holds
 * under source over and under multiply, so the two together composite as the one pixel did.
 *
 * @param i first sample of the pixel in all three
 * @param share c: how bright the pixel is beside its paint, above 0
 */
export function splitPixel(from: Tile, i: number, share: number, paint: Tile, ink: Tile): void {
  const alpha = from[i + 3] / full16;
  const black = alpha * (1 - share);
  paint[i] = Math.min(full16, from[i] / share + 0.5);
  paint[i + 1] = Math.min(full16, from[i + 1] / share + 0.5);
  paint[i + 2] = Math.min(full16, from[i + 2] / share + 0.5);
  paint[i + 3] = Math.min(full16, ((alpha * share) / (1 - black)) * full16 + 0.5);
  ink[i] = 0;
  ink[i + 1] = 0;
  ink[i + 2] = 0;
  ink[i + 3] = black * full16 + 0.5;
}

/**
 * Splits the white off a tile of line art: corrections in white paint, and the grey edges where ink meets it.
 * Black and coloured pixels stay with the ink as they are.
 *
 * @returns whether there is any white paint, and whether there is any ink
 */
export function splitLineTile(
  from: Tile,
  tolerance: BlackTolerance,
  paint: Tile,
  ink: Tile,
): { readonly paint: boolean; readonly ink: boolean } {
  paint.fill(0);
  ink.fill(0);
  let painted = false;
  let inked = false;
  for (let i = 0; i < from.length; i += 4) {
    if (from[i + 3] === 0) continue;
    const red = from[i];
    const green = from[i + 1];
    const blue = from[i + 2];
    const most = Math.max(red, green, blue);
    if (most - Math.min(red, green, blue) > tolerance.chroma || isBlack(red, green, blue, tolerance)) {
      copyPixel(from, i, ink);
      inked = true;
      continue;
    }
    splitPixel(from, i, most / full16, paint, ink);
    painted = true;
    inked = inked || ink[i + 3] !== 0;
  }
  return { paint: painted, ink: inked };
}

export function copyPixel(from: Tile, i: number, to: Tile): void {
  to[i] = from[i];
  to[i + 1] = from[i + 1];
  to[i + 2] = from[i + 2];
  to[i + 3] = from[i + 3];
}
