import { full16 } from './blend.js';
import { type Tile, tilePixels, tileSide } from './tiles.js';

/**
 * Where opaque paint cuts across black line, the pixels of its soft edge show both: paint of alpha b over line of
 * amount a. Taken for an effect that shines on the line, each would be a dark dot on the colour plates. Here such an
 * edge stays line of amount a (1 - b), and the colour beneath it becomes what gives the same page together with it:
 * F / (1 - a (1 - b)). Only pixels beside fully opaque paint of the same tile are edges; a glow has none or few.
 *
 * @param full the flattened page, the paint already on it
 * @param bare the page without line, likewise; changed in place
 * @param paint what was laid over, in source over
 * @param amount amount of line, 0 to 65535; changed in place
 */
export function keepCoverEdges(full: Tile, bare: Tile, paint: Tile, amount: Uint16Array): void {
  for (let pixel = 0, i = 0; pixel < tilePixels; pixel++, i += 4) {
    const alpha = paint[i + 3];
    if (alpha === 0 || alpha === full16 || amount[pixel] === 0 || full[i + 3] !== full16) continue;
    if (!isBesideOpaque(paint, pixel)) continue;
    const left = amount[pixel] * (1 - alpha / full16);
    const shown = 1 - left / full16;
    for (let c = i; c < i + 3; c++) bare[c] = Math.min(full16, full[c] / shown + 0.5);
    bare[i + 3] = full16;
    amount[pixel] = left + 0.5;
  }
}

/** Whether one of the eight pixels around is fully opaque paint. */
function isBesideOpaque(paint: Tile, pixel: number): boolean {
  const x = pixel % tileSide;
  const y = (pixel - x) / tileSide;
  const right = Math.min(tileSide - 1, x + 1);
  const bottom = Math.min(tileSide - 1, y + 1);
  for (let row = Math.max(0, y - 1); row <= bottom; row++) {
    for (let column = Math.max(0, x - 1); column <= right; column++) {
      if (paint[(row * tileSide + column) * 4 + 3] === full16) return true;
    }
  }
  return false;
}
