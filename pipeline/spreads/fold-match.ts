import { mmToPx, pxToMm } from '../../config/units.js';
import type { Raster } from '../model/raster.js';
import type { Fold } from './half-layout.js';
import { type Greys, greysOf, likeness } from './likeness.js';

/** Whether two halves meet at the fold, and how far the right one is off. */
export interface FoldMatch {
  /** What was compared: a strip that stands on both halves, the pixels at both sides of the fold, or nothing that tells. */
  readonly by: 'overlap' | 'edge' | 'nothing';
  /** How far the right half's picture lies to the right of its place and below it, in pixels. */
  readonly dxPx: number;
  readonly dyPx: number;
}

/** Halves are looked for this far off. Our own choice: ten times what a cut by hand misses. */
const searchMm = 2;

/** The resolution at which is looked first. */
const coarsePpi = 100;

/** Strips narrower than this tell nothing. */
const narrowestMm = 0.5;

/** From this likeness on, two strips show the same. Measured on drawn halves (JPEG included): 0.9 and more, others up to 0.5. */
const leastLikeness = 0.8;

/** How much less alike strips have to be elsewhere, more than so many coarse pixels aside, for their place to be told. Our own choice. */
const leastLead = 0.1;
const asidePx = 2;

/** Seen coarsely, a strip that is the same may lie between two pixels. */
const leastCoarse = 0.6;

/** Most pixels that are compared in one place. */
const mostSamples = 60_000;

/** The same for the columns at both sides of the fold, which show neighbours and not the same. */
const leastEdgeLikeness = 0.7;
const leastEdgeLead = 0.1;

/** Beside the fold, pixels are taken together to this resolution: lines that cross it aslant still meet. */
const edgePpi = 120;

/** Below this, lines that cross the fold aslant could be the reason. */
const leastEdgeMm = 0.1;
const leastEdgePx = 2;

/** Two flat halves, and how they lie in the spread by their sizes. */
export interface Halves {
  readonly left: Raster;
  readonly right: Raster;
  readonly fold: Fold;
}

/** Holds two flat halves against each other. */
export function matchFold(halves: Halves): FoldMatch {
  const { left, fold } = halves;
  const { foldX, rightX } = fold;
  const beyond = { from: foldX, to: left.width };
  const before = { from: rightX, to: foldX };
  const strips = [beyond, before].filter(({ from, to }) => to - from >= mmToPx(narrowestMm, fold.ppi));
  for (const strip of strips) {
    const found = matchStrip(halves, strip);
    if (found !== undefined) return found;
  }
  return matchEdges(halves);
}

/** A strip of the spread that stands on both halves, in its columns. */
interface Strip {
  readonly from: number;
  readonly to: number;
}

/** A displacement of the right half in pixels, or how far one is looked for. */
interface Place {
  readonly dx: number;
  readonly dy: number;
}

/** A displacement, and how alike the halves are there. */
interface Found extends Place {
  readonly score: number;
}

/** Both halves along a strip, at one resolution. */
interface StripPair {
  readonly one: Greys;
  readonly other: Greys;
  /** Columns of `other` left of the one beneath the first of `one`. */
  readonly margin: number;
  /** Columns of `other` that are no part of the right half. */
  readonly first: number;
  /** Only every so many rows are compared. */
  readonly stride: number;
}

/** @param reach how far about its place the right half is looked at, in pixels; `step` pixels are made one */
function stripPair(
  { left, right, fold }: Halves,
  { from, to }: Strip,
  { reach, step }: { reach: number; step: number },
): StripPair {
  const columns = Math.floor((to - from) / step);
  const rows = Math.floor(left.height / step);
  const margin = Math.ceil(reach / step);
  const start = from - fold.rightX - margin * step;
  const size = { rows, stepX: step, stepY: step };
  return {
    one: greysOf(left, { ...size, left: from, top: 0, columns }),
    other: greysOf(right, { ...size, left: start, top: -fold.rightY, columns: columns + 2 * margin }),
    margin,
    first: Math.max(0, Math.ceil(-start / step)),
    stride: Math.max(1, Math.floor((columns * rows) / mostSamples)),
  };
}

function scoreAt({ one, other, margin, first, stride }: StripPair, dx: number, dy: number): number {
  return likeness(one, other, { dx: dx + margin, dy, from: first, to: other.width, stride });
}

/** All places within reach; along an axis that is not looked at, only the place itself. */
function placesAround(pair: StripPair, around: Place, reach: Place): Found[] {
  const found: Found[] = [];
  for (let dy = around.dy - reach.dy; dy <= around.dy + reach.dy; dy++) {
    for (let dx = around.dx - reach.dx; dx <= around.dx + reach.dx; dx++) {
      found.push({ dx, dy, score: scoreAt(pair, dx, dy) });
    }
  }
  return found;
}

function bestOf(places: readonly Found[]): Found {
  return places.reduce((one, other) => (other.score > one.score ? other : one));
}

/**
 * The best place as far as the strip tells it: along an axis on which others are nearly as good (hatching, speed lines, a sky) the
 * half stays where it is.
 */
function toldPlace(pair: StripPair, reach: number): { found: Found; told: Place } {
  const places = placesAround(pair, { dx: 0, dy: 0 }, { dx: reach, dy: reach });
  const best = bestOf(places);
  const isTold = (axis: 'dx' | 'dy') =>
    places.every(
      (other) => Math.abs(other[axis] - best[axis]) <= asidePx || best.score - other.score >= leastLead,
    );
  const told = { dx: isTold('dx') ? 1 : 0, dy: isTold('dy') ? 1 : 0 };
  if (told.dx + told.dy !== 1)
    return { found: told.dx === 1 ? best : { dx: 0, dy: 0, score: scoreAt(pair, 0, 0) }, told };
  return {
    found: bestOf(places.filter(({ dx, dy }) => dx * (1 - told.dx) + dy * (1 - told.dy) === 0)),
    told,
  };
}

/** Looks coarsely for the place of a strip on the other half, then finely around it; undefined where it shows something else. */
function matchStrip(halves: Halves, strip: Strip): FoldMatch | undefined {
  const { ppi } = halves.fold;
  const step = Math.max(1, Math.round(ppi / coarsePpi));
  const reach = Math.ceil(mmToPx(searchMm, ppi));
  const coarse = stripPair(halves, strip, { reach, step });
  const { found: near, told } = toldPlace(coarse, Math.ceil(reach / step));
  if (near.score < leastCoarse) return undefined;
  const fine = step === 1 ? coarse : stripPair(halves, strip, { reach: reach + 2 * step, step: 1 });
  const around = { dx: near.dx * step, dy: near.dy * step };
  const found =
    step === 1 ? near : bestOf(placesAround(fine, around, { dx: step * told.dx, dy: step * told.dy }));
  return found.score < leastLikeness ? undefined : { by: 'overlap', dxPx: found.dx, dyPx: found.dy };
}

/** Follows what crosses the fold from its last column on one half to its first on the other: that tells up and down alone. */
function matchEdges({ left, right, fold }: Halves): FoldMatch {
  const side = Math.max(1, Math.round(fold.ppi / edgePpi));
  const size = { columns: 1, rows: left.height, stepX: Math.ceil(side / 2), stepY: 1 };
  const one = changes(greysOf(left, { ...size, left: fold.foldX - size.stepX, top: 0 }), side);
  const other = changes(greysOf(right, { ...size, left: fold.foldX - fold.rightX, top: -fold.rightY }), side);
  const reach = Math.ceil(mmToPx(searchMm, fold.ppi));
  const scores = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    likeness(one, other, { dx: 0, dy: i - reach, from: 0, to: 1, stride: 1 }),
  );
  const at = scores.indexOf(Math.max(...scores));
  const next = Math.max(...scores.filter((_, i) => Math.abs(i - at) > 2 * side));
  const isTold = scores[at] >= leastEdgeLikeness && scores[at] - next >= leastEdgeLead;
  if (!isTold) return { by: 'nothing', dxPx: 0, dyPx: 0 };
  const dyPx = at - reach;
  // Neighbours, not the same pixels, are compared: what is as good without moving, or nearly there, stays.
  const stays =
    Math.abs(dyPx) < leastEdgePx ||
    pxToMm(Math.abs(dyPx), fold.ppi) < leastEdgeMm ||
    scores[at] - scores[reach] < leastEdgeLead;
  return { by: 'edge', dxPx: 0, dyPx: stays ? 0 : dyPx };
}

/** How a column changes going down: the mean of so many pixels below each, less the mean of as many above. */
function changes({ height, data }: Greys, side: number): Greys {
  const sums = new Float64Array(height + 1);
  for (let y = 0; y < height; y++) sums[y + 1] = sums[y] + data[y];
  const mean = (from: number, to: number) => {
    const [first, behind] = [Math.max(0, from), Math.min(height, to)];
    return behind > first ? (sums[behind] - sums[first]) / (behind - first) : 0;
  };
  const changed = Float32Array.from(data, (_, y) =>
    y < side || y + side > height ? 0 : mean(y, y + side) - mean(y - side, y),
  );
  return { width: 1, height, data: changed };
}
