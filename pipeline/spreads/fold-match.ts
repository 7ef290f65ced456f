import { mmToPx } from '../../config/units.js';
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

/** How much less alike strips have to be this far aside, for their place to be told along an axis. Our own choice. */
const leastLead = 0.03;
const asideMm = 0.5;

/** Seen coarsely, a strip that is the same may lie between two pixels. */
const leastCoarse = 0.6;

/** Most pixels that are compared in one place. */
const mostSamples = 60_000;

/** The same for the columns at both sides of the fold, which show neighbours and not the same. */
const leastEdgeLikeness = 0.7;
const leastEdgeLead = 0.1;

/** Beside the fold, columns are taken together to this resolution: noise and screens are less, lines are not lost. */
const edgePpi = 300;

/** Columns are alike a pixel up or down where lines cross the fold aslant. */
const aslantPx = 2;

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

/** A displacement of the right half, and how alike the halves are there. */
interface Found {
  readonly dx: number;
  readonly dy: number;
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

/** The most alike place within reach. */
function best(pair: StripPair, around: Pick<Found, 'dx' | 'dy'>, reach: number): Found {
  let found: Found = { ...around, score: -1 };
  for (let dy = around.dy - reach; dy <= around.dy + reach; dy++) {
    for (let dx = around.dx - reach; dx <= around.dx + reach; dx++) {
      const score = scoreAt(pair, dx, dy);
      if (score > found.score) found = { dx, dy, score };
    }
  }
  return found;
}

/** Looks coarsely for the place of a strip on the other half, then finely around it; undefined where it shows something else. */
function matchStrip(halves: Halves, strip: Strip): FoldMatch | undefined {
  const { ppi } = halves.fold;
  const step = Math.max(1, Math.round(ppi / coarsePpi));
  const reach = Math.ceil(mmToPx(searchMm, ppi));
  const coarse = stripPair(halves, strip, { reach, step });
  const near = best(coarse, { dx: 0, dy: 0 }, Math.ceil(reach / step));
  if (near.score < leastCoarse) return undefined;
  const aside = Math.ceil(mmToPx(asideMm, ppi));
  const fine = step === 1 ? coarse : stripPair(halves, strip, { reach: reach + 2 * step + aside, step: 1 });
  const found = step === 1 ? near : best(fine, { dx: near.dx * step, dy: near.dy * step }, step);
  if (found.score < leastLikeness) return undefined;
  const { dx, dy, score } = found;
  const besideIt = [scoreAt(fine, dx + aside, dy), scoreAt(fine, dx - aside, dy)];
  const aboveIt = [scoreAt(fine, dx, dy + aside), scoreAt(fine, dx, dy - aside)];
  const isTold = (others: readonly number[]) => score - Math.max(...others) >= leastLead;
  return { by: 'overlap', dxPx: isTold(besideIt) ? dx : 0, dyPx: isTold(aboveIt) ? dy : 0 };
}

/** Follows what crosses the fold from its last column on one half to its first on the other: that tells up and down alone. */
function matchEdges({ left, right, fold }: Halves): FoldMatch {
  const nothing: FoldMatch = { by: 'nothing', dxPx: 0, dyPx: 0 };
  const columns = Math.max(1, Math.round(fold.ppi / edgePpi));
  const size = { columns: 1, rows: left.height, stepX: columns, stepY: 1 };
  const one = steps(greysOf(left, { ...size, left: fold.foldX - columns, top: 0 }));
  const other = steps(greysOf(right, { ...size, left: fold.foldX - fold.rightX, top: -fold.rightY }));
  const reach = Math.ceil(mmToPx(searchMm, fold.ppi));
  const scores = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    likeness(one, other, { dx: 0, dy: i - reach, from: 0, to: 1, stride: 1 }),
  );
  const at = scores.indexOf(Math.max(...scores));
  const next = Math.max(...scores.filter((_, i) => Math.abs(i - at) > aslantPx));
  if (scores[at] < leastEdgeLikeness || scores[at] - next < leastEdgeLead) return nothing;
  const dyPx = at - reach;
  return { by: 'edge', dxPx: 0, dyPx: Math.abs(dyPx) < aslantPx ? 0 : dyPx };
}

/** How a column changes from row to row. */
function steps({ height, data }: Greys): Greys {
  const changes = Float32Array.from(data, (value, y) => value - data[Math.max(0, y - 1)]);
  return { width: 1, height, data: changes };
}
