import { deflateSync, inflateSync } from 'node:zlib';
import type { PageSketch } from '../model/page-result.js';
import type { Bitmap, Raster } from '../model/raster.js';
import type { EdgeMap } from './edge-maps.js';
import { chooseWindows, mostStep, seeColour, seeLine, type Window, windowPx } from './windows.js';

/**
 * What is kept of a page's part, so that its next version can be laid on it when nobody has the old picture any more: a few
 * windows at half their size, in 16 steps. Their shifts against another sketch come out as exactly as those of whole windows.
 */

/** Windows that are kept, and pixels along the side of each once it is halved. */
const mostKept = 16;
export const keptPx = windowPx / 2;
const keptPixels = keptPx * keptPx;

/** Depths run from 0 to this. */
const deepest = 15;

/** The page that a sketch is of. */
export interface Sketched {
  readonly map: EdgeMap;
  readonly isLine: boolean;
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
}

/**
 * The sketch of a page's part.
 * @param see writes what a window shows, 0 to `most`
 */
export function sketchOf(
  page: Sketched,
  most: number,
  see: (window: Window, into: Float64Array) => void,
): PageSketch | undefined {
  const { width, height, ppi } = page;
  const windows = chooseWindows([page], { width, height }, mostKept);
  if (windows.length === 0) return undefined;
  const whole = new Float64Array(windowPx * windowPx);
  const depths = new Uint8Array((windows.length * keptPixels) / 2);
  for (const [at, window] of windows.entries()) {
    see(window, whole);
    keep(whole, deepest / most, depths, at * keptPixels);
  }
  const corners = windows.flatMap(({ left, top }) => [left, top]);
  return { width, height, ppi, corners, depths: deflateSync(depths).toString('base64') };
}

/** The sketch of colour that is some 300 ppi fine. */
export function colourSketch(colour: Raster, map: EdgeMap, ppi: number): PageSketch | undefined {
  const page = { map, isLine: false, width: colour.width, height: colour.height, ppi };
  return sketchOf(page, mostStep, (window, into) => seeColour(colour, window, 'edges', into));
}

/** The sketch of line; its map is in cells of a page of such a size. */
export function lineSketch(line: Bitmap, page: Omit<Sketched, 'isLine'>): PageSketch | undefined {
  const ratio = line.width / page.width;
  return sketchOf({ ...page, isLine: true }, ratio * ratio, (window, into) =>
    seeLine(line, window, ratio, { dx: 0, dy: 0 }, into),
  );
}

/** Halves a window and writes it in 16 steps, two pixels to a byte. */
function keep(whole: Float64Array, scale: number, into: Uint8Array, at: number): void {
  for (let y = 0, i = at; y < keptPx; y++) {
    for (let x = 0; x < keptPx; x++, i++) {
      const from = 2 * y * windowPx + 2 * x;
      const sum = whole[from] + whole[from + 1] + whole[from + windowPx] + whole[from + windowPx + 1];
      const depth = Math.min(deepest, Math.round((sum / 4) * scale));
      into[i >> 1] |= (i & 1) === 0 ? depth : depth << 4;
    }
  }
}

/** The windows of a sketch, as they can be laid on those of another one. */
export interface OpenSketch {
  readonly windows: readonly Pick<Window, 'left' | 'top'>[];
  /** Writes what a window shows. */
  see(window: number, into: Float64Array): void;
}

/** Opens a sketch. @throws Error for bytes that are not whole */
export function openSketch({ corners, depths }: PageSketch): OpenSketch {
  const bytes = inflateSync(Buffer.from(depths, 'base64'));
  const windows = Array.from({ length: corners.length >> 1 }, (_, at) => ({
    left: corners[2 * at],
    top: corners[2 * at + 1],
  }));
  if (bytes.length * 2 !== windows.length * keptPixels) throw new Error('a sketch is not whole');
  return {
    windows,
    see(window, into) {
      const first = window * keptPixels;
      for (let i = 0; i < keptPixels; i++) {
        const byte = bytes[(first + i) >> 1];
        into[i] = (i & 1) === 0 ? byte & deepest : byte >> 4;
      }
    },
  };
}
