import type { SizePx } from '../../config/units.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import { cellPx, type EdgeMap } from './edge-maps.js';
import type { Spectrum } from './fft.js';

/** Windows onto a page, laid where both line and colour have edges, and what is seen in them. */

/** Pixels of the colour along a window's side. */
export const windowPx = 128;

/** At most so many windows a page. */
const mostWindows = 24;

/** Zones are made smaller while fewer than this share of all windows find a place. */
const fewShare = 0.75;

/** A window on the colour, by its upper left corner, in pixels of the colour. */
export interface Window {
  readonly left: number;
  readonly top: number;
  /** Places on edges that line and colour have in it: the lesser of the two. */
  readonly edges: number;
}

/** Cells along a window's side; it may hang over the page's edge by a quarter. */
const cells = windowPx / cellPx;
const overhang = cells / 4;

/** A map of edges, and whether it is one of line. */
export interface WeighedMap {
  readonly map: EdgeMap;
  /** Line counts each stroke more than once. */
  readonly isLine: boolean;
}

/**
 * The best window of each zone of the page, those with most edges first; zones are smaller where edges are in few places.
 * @param maps one or two, of one size: where there are two, both have to have edges
 */
export function chooseWindows(maps: readonly WeighedMap[], size: SizePx, most = mostWindows): Window[] {
  const edgesAt = maps.map(({ map, isLine }) => edgesIn(map, isLine ? 1 / linePerColour : 1));
  const { columns, rows } = maps[0].map;
  const all: Window[] = [];
  for (let row = -overhang; row + cells - overhang <= rows; row += 2) {
    for (let column = -overhang; column + cells - overhang <= columns; column += 2) {
      const edges = Math.min(...edgesAt.map((at) => at(column, row)));
      if (edges >= leastEdges) all.push({ left: column * cellPx, top: row * cellPx, edges });
    }
  }
  let zonePx = Math.sqrt((size.width * size.height) / most);
  let chosen = bestOf(all, zonePx);
  while (chosen.length < fewShare * most && zonePx > windowPx / 2) {
    zonePx /= 1.5;
    chosen = bestOf(all, zonePx);
  }
  return chosen.slice(0, most);
}

function bestOf(windows: readonly Window[], zonePx: number): Window[] {
  const best = new Map<string, Window>();
  const zoneOf = (from: number) => Math.floor((from + windowPx / 2) / zonePx);
  for (const window of windows) {
    const zone = `${zoneOf(window.left)} ${zoneOf(window.top)}`;
    if (window.edges > (best.get(zone)?.edges ?? 0)) best.set(zone, window);
  }
  return [...best.values()].sort((a, b) => b.edges - a.edges);
}

/** A window shows enough from so many places on edges of the colour on: a contour across its middle has some sixteen. */
const leastEdges = 8;

/** A stroke has two edges where colours meet in one, and is looked at in every pixel across. */
const linePerColour = 4;

/** An edge tells nothing of shifts along itself: those of the rarer direction count so many times, and no more. */
const evenness = 5;

/** Counts the edges in the middle of a window at a cell, the inner half of each side, as far as they run in both directions. */
function edgesIn(
  { columns, rows, across, down }: EdgeMap,
  weight: number,
): (column: number, row: number) => number {
  const sums = [across, down].map((counts) => summed(columns, rows, counts));
  return (column, row) => {
    const [a, d] = sums.map((sum) => within(sum, column + cells / 4, row + cells / 4, cells / 2, columns));
    return weight * Math.min(a + d, evenness * Math.min(a, d));
  };
}

/** Sums over all cells above and left of each, with a row and a column of noughts before. */
function summed(columns: number, rows: number, counts: Float32Array): Float64Array {
  const sums = new Float64Array((columns + 1) * (rows + 1));
  for (let y = 0; y < rows; y++) {
    for (let x = 0, row = 0; x < columns; x++) {
      row += counts[y * columns + x];
      sums[(y + 1) * (columns + 1) + x + 1] = sums[y * (columns + 1) + x + 1] + row;
    }
  }
  return sums;
}

function within(sums: Float64Array, x: number, y: number, cells: number, columns: number): number {
  const wide = columns + 1;
  const top = y * wide + x;
  const bottom = (y + cells) * wide + x;
  return sums[bottom + cells] - sums[bottom] - sums[top + cells] + sums[top];
}

/** Along a window's side: 1 in its middle half, and falling to 0 at its border (a tapered cosine). */
function taperOf(side: number): Float64Array {
  return Float64Array.from({ length: side }, (_, i) => {
    const depth = Math.min(1, (4 * (Math.min(i, side - 1 - i) + 0.5)) / side);
    return 0.5 - 0.5 * Math.cos(Math.PI * depth);
  });
}

const tapers = new Map<number, Float64Array>();

/** What of the colour is laid beside the line: where it changes, or how dark it is where the line was painted in. */
export type ColourTrait = 'edges' | 'darkness';

/** Steps of the colour above this count no more, of 255: a faint contour tells as much as a strong one. */
export const mostStep = 64;

/** Writes what the colour shows in a window: with `edges` 0 to `mostStep`, with `darkness` 0 to 255. */
export function seeColour(
  colour: Raster,
  { left, top }: Window,
  trait: ColourTrait,
  into: Float64Array,
): void {
  const { width, height, data } = colour;
  const channels = channelsOf(colour);
  const level = 255 / maxOf(colour);
  const light = colour.model === 'cmyk' ? 0 : 255;
  const stride = width * channels;
  for (let y = 0, i = 0; y < windowPx; y++) {
    const py = Math.max(1, Math.min(height - 2, top + y));
    for (let x = 0; x < windowPx; x++, i++) {
      const px = Math.max(1, Math.min(width - 2, left + x));
      const at = py * stride + px * channels;
      into[i] =
        trait === 'edges'
          ? Math.min(mostStep, level * steepness(data, at, channels, stride))
          : Math.abs(light - level * brightest(data, at, channels));
    }
  }
}

function steepness(data: Raster['data'], at: number, channels: number, stride: number): number {
  let most = 0;
  for (let c = at; c < at + channels; c++) {
    const across = data[c + channels] - data[c - channels];
    const down = data[c + stride] - data[c - stride];
    const square = across * across + down * down;
    if (square > most) most = square;
  }
  return Math.sqrt(most);
}

function brightest(data: Raster['data'], at: number, channels: number): number {
  let most = data[at];
  for (let c = at + 1; c < at + channels; c++) most = Math.max(most, data[c]);
  return most;
}

/**
 * Writes what the line shows in a window: how many of its pixels are ink in each pixel of the colour.
 * @param ratio line pixels to a pixel of the colour
 * @param shift where on the line the window is laid, in whole pixels of the colour beside its own place
 */
export function seeLine(
  line: Bitmap,
  { left, top }: Window,
  ratio: number,
  shift: { dx: number; dy: number },
  into: Float64Array,
): void {
  const { width, height, rowBytes, bits } = line;
  into.fill(0);
  const firstX = Math.round((left + shift.dx) * ratio);
  const firstY = Math.round((top + shift.dy) * ratio);
  const fine = Math.round(windowPx * ratio);
  const columnOf = Uint16Array.from({ length: fine }, (_, x) =>
    Math.min(windowPx - 1, Math.floor((x + 0.5) / ratio)),
  );
  for (let y = 0; y < fine; y++) {
    const py = firstY + y;
    if (py < 0 || py >= height) continue;
    const row = Math.min(windowPx - 1, Math.floor((y + 0.5) / ratio)) * windowPx;
    const start = py * rowBytes;
    for (let x = Math.max(0, -firstX); x < fine && firstX + x < width; x++) {
      const px = firstX + x;
      if (((bits[start + (px >> 3)] >> (px & 7)) & 1) === 1) into[row + columnOf[x]]++;
    }
  }
}

/** Takes the mean of a window off, and fades its border. */
export function fade(window: Float64Array): void {
  const side = Math.sqrt(window.length);
  const taper = tapers.get(side) ?? taperOf(side);
  tapers.set(side, taper);
  let sum = 0;
  for (const value of window) sum += value;
  const mean = sum / window.length;
  for (let y = 0, i = 0; y < side; y++) {
    for (let x = 0; x < side; x++, i++) window[i] = (window[i] - mean) * taper[x] * taper[y];
  }
}

/** A window's pair of pictures, to be laid on each other by `phaseCorrelation`. */
export function pairOf(re: Float64Array, im: Float64Array): Spectrum {
  return { width: windowPx, height: windowPx, re, im };
}
