import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { BlackTolerance } from './black.js';
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
 * Splits the white off a tile of line art: corrections in white paint, and the grey edges where ink meets it (`splitPixel`).
 * Black and coloured pixels stay with the ink as they are.
 *
 * @param paint ink both wholly overwritten
 * @returns whether there is any white paint, and whether there is any ink
 */
export function splitLineTile(
  from: Tile,
  tolerance: BlackTolerance,
  paint: Tile,
  ink: Tile,
  memory: KernelMemory,
): { readonly paint: boolean; readonly ink: boolean } {
  const { byteLength } = from;
  const [tile, white, black] = memory.scratch(byteLength, byteLength, byteLength);
  const [toPaint, toInk] = [memory.writableAddress(paint, white), memory.writableAddress(ink, black)];
  const { chroma, level } = tolerance;
  const found = memory.kernels.splitLine(
    memory.addressOf(from, tile),
    chroma,
    level,
    toPaint,
    toInk,
    from.length / 4,
  );
  memory.store(toPaint, paint);
  memory.store(toInk, ink);
  return { paint: (found & hasPaint) !== 0, ink: (found & hasInk) !== 0 };
}

/** What the kernel found. */
const hasPaint = 1;
const hasInk = 2;

export function copyPixel(from: Tile, i: number, to: Tile): void {
  to[i] = from[i];
  to[i + 1] = from[i + 1];
  to[i + 2] = from[i + 2];
  to[i + 3] = from[i + 3];
}
