import type { SizePx } from '../../config/units.js';
import type { PageTrace } from '../model/page-result.js';
import type { Bitmap, Raster } from '../model/raster.js';
import { inkLevel, seeDark } from './dark-planes.js';
import { colourEdges, type EdgeMap, lineEdges, reduced } from './edge-maps.js';
import { type Relief, reliefOf } from './likeness.js';
import { lookOfColour, lookOfLettering, lookOfLine } from './looks.js';
import type { LetteringLook } from './measure-lettering.js';
import { colourSketch, keptPx, lineSketch, sketchOf } from './sketches.js';
import { traceOf } from './traces.js';

/** Resolution at which lines of a comic are a few pixels wide, as windows and their softness are meant for. */
const neededPpi = 300;

/** By how much colour of such a resolution is reduced before anybody looks at it: from 450 ppi on it is brought near 300. */
export function reduction(colourPpi: number): number {
  return Math.max(1, Math.round(colourPpi / neededPpi));
}

/** A part of a page as it is looked at, with what was seen. */
export interface SeenPart<Pixels> {
  readonly pixels: Pixels;
  readonly map: EdgeMap;
  readonly relief: Relief;
  /** Size of the page in whose cells the map is, and its pixels per inch. */
  readonly page: SizePx;
  readonly ppi: number;
}

/** Looks for the edges of colour at its print size. */
export function seenColour(whole: Raster, colourPpi: number): SeenPart<Raster> {
  const times = reduction(colourPpi);
  const pixels = times === 1 ? whole : reduced(whole, times);
  const map = colourEdges(pixels);
  const page = { width: pixels.width, height: pixels.height };
  return { pixels, map, relief: reliefOf(map), page, ppi: colourPpi / times };
}

/** Looks for the edges of line that covers a page. */
export function seenLine(pixels: Bitmap, page: SizePx, ppi: number): SeenPart<Bitmap> {
  const map = lineEdges(pixels, page);
  return { pixels, map, relief: reliefOf(map), page, ppi };
}

export function traceOfColour({ pixels, map, relief, ppi }: SeenPart<Raster>): PageTrace {
  return traceOf(relief, colourSketch(pixels, map, ppi), lookOfColour(pixels));
}

export function traceOfLine({ pixels, map, relief, page, ppi }: SeenPart<Bitmap>): PageTrace {
  return traceOf(relief, lineSketch(pixels, { map, ...page, ppi }), lookOfLine(pixels));
}

/** What is kept of lettering; its windows are as large as they are kept. */
export function traceOfLettering({ plane, edges }: LetteringLook, page: SizePx, ppi: number): PageTrace {
  const small = new Float64Array(keptPx * keptPx);
  const sketch = sketchOf({ map: edges, isLine: true, ...page, ppi }, 2 * inkLevel, (window, into) => {
    seeDark(plane, { left: window.left >> 1, top: window.top >> 1, side: keptPx }, small);
    doubled(small, into);
  });
  return traceOf(reliefOf(edges), sketch, lookOfLettering(plane));
}

function doubled(small: Float64Array, into: Float64Array): void {
  for (let y = 0, i = 0; y < 2 * keptPx; y++) {
    for (let x = 0; x < 2 * keptPx; x++, i++) into[i] = small[(y >> 1) * keptPx + (x >> 1)];
  }
}
