import type { Bitmap, Plate } from '../../pipeline/model/raster.js';
import {
  type ProcessInkName,
  processPlanes,
  type Separation,
  separationOf,
} from '../../pipeline/model/separation.js';
import { bitsOf } from './rasters.js';

/** A seeded generator (Numerical Recipes' linear congruential one), 0 to 1, so that every run draws the same. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

/** Four planes with flats, ramps, grain and every value from 0 to 255. */
export function drawSeparation(width: number, height: number): Separation {
  const next = seeded(4);
  const plane = (value: (x: number, y: number) => number): Uint8Array => {
    const data = new Uint8Array(width * height);
    for (let i = 0; i < data.length; i++) data[i] = value(i % width, Math.floor(i / width));
    return data;
  };
  const drawn = {
    cyan: (x: number) => x,
    magenta: (_x: number, y: number) => 255 - y,
    yellow: (x: number, y: number) => (x < y ? 0 : 180 + 40 * next()),
    black: (x: number, y: number) => ((x + y) % 37 < 3 ? 255 : 0),
  };
  return separationOf({ width, height }, (name) => plane(drawn[name]));
}

/** The planes of the process inks by name. */
export function planesOf(separation: Separation): Record<ProcessInkName, Uint8Array> {
  const [cyan, magenta, yellow, black] = processPlanes(separation);
  return { cyan, magenta, yellow, black };
}

/** C, M, Y and K of one pixel. */
export function inkAt(separation: Separation, pixel: number): number[] {
  return processPlanes(separation).map((plane) => plane[pixel]);
}

/** A line plate whose runs get longer from top to bottom, from single pixels to bare rows; samples of 0 and 255. */
export function drawLineSamples(width: number, height: number): Plate {
  const next = seeded(7);
  const data = new Uint8Array(width * height);
  let ink = 0;
  for (let i = 0; i < data.length; i++) {
    const share = 0.5 * (1 - i / data.length) ** 4;
    if (i % width === 0 && next() < 0.3) ink = 0;
    if (next() < share) ink = 255 - ink;
    data[i] = ink;
  }
  return { width, height, data };
}

/** The same as bits. */
export function drawLines(width: number, height: number): Bitmap {
  return bitsOf(drawLineSamples(width, height));
}
