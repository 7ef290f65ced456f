import { mmToPx } from '../../config/units.js';
import { findChanges, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/**
 * Long straight edges that are nearly level or nearly upright, as borders of panels have them. The page is cut at regular distances, and
 * where ink begins or ends on one cut is followed to the next.
 */

/** From one cut to the next, in millimetres. */
const stepMm = 1.35;

/** Shorter edges are no borders, in millimetres. Own choice. */
export const leastBorderMm = 30;

/** Edges lean no more than this, in degrees: what leans more was drawn so. Own choice. */
const mostLeanDegrees = 3;

/** How far an edge may lie beside the straight one through it, root mean square in millimetres: a ruler keeps that, a hand does not. Own choice. */
const mostRoughMm = 0.08;

/** How far the next point may lie beside where it is expected, in millimetres. Own choice. */
const besideMm = 0.1;

/** Cuts that may lack the edge in a row: where a balloon lies over it. */
const mostMissed = 3;
/** Points from which on a chain tells where its next one is expected. */
const knownFrom = 6;

/** A straight edge. `along` runs across the page for level ones, down it for upright ones; the other axis is `at`. All in pixels. */
export interface StraightEdge {
  readonly isLevel: boolean;
  /** Ink lies behind it: below, or to the right. */
  readonly opensInk: boolean;
  readonly from: number;
  readonly to: number;
  /** Where it lies at its beginning and at its end. */
  readonly atFrom: number;
  readonly atTo: number;
  /** How thick the ink is behind the edge, and how wide the paper before it, at half of its points. */
  readonly inkPx: number;
  readonly paperPx: number;
  /** Share of its points between which and the edge of the picture there is only paper. */
  readonly outerShare: number;
}

/** Finds all of them. */
export function straightEdges(line: Bitmap, ppi: number): StraightEdge[] {
  const step = Math.max(4, Math.round(mmToPx(stepMm, ppi)));
  const level = followed(cutsDown(line, step), { isLevel: true, step, across: line.height, ppi });
  const upright = followed(cutsAcross(line, step), { isLevel: false, step, across: line.width, ppi });
  return [...level, ...upright];
}

/** Where paper turns to ink and back along each cut, beginning with ink; an even count. */
type Cuts = readonly (readonly number[])[];

/** Cuts along columns. */
function cutsDown({ width, height, rowBytes, bits }: Bitmap, step: number): Cuts {
  const count = Math.floor(width / step);
  const cuts: number[][] = Array.from({ length: count }, () => []);
  const last = new Uint8Array(count);
  for (let y = 0; y < height; y++) {
    for (let cut = 0, x = step >> 1; cut < count; cut++, x += step) {
      const bit = (bits[y * rowBytes + (x >> 3)] >> (x & 7)) & 1;
      if (bit === last[cut]) continue;
      last[cut] = bit;
      cuts[cut].push(y);
    }
  }
  for (let cut = 0; cut < count; cut++) if (last[cut] === 1) cuts[cut].push(height);
  return cuts;
}

/** Cuts along rows. */
function cutsAcross(line: Bitmap, step: number): Cuts {
  const words = wordsOf(line);
  const wordsInRow = line.rowBytes >> 2;
  const changes = new Uint32Array(line.width + 1);
  return Array.from({ length: Math.floor(line.height / step) }, (_, cut) => {
    const row = cut * step + (step >> 1);
    const count = findChanges(words, row * wordsInRow, wordsInRow, changes);
    const places = [...changes.subarray(0, count)];
    return count % 2 === 1 ? [...places, line.width] : places;
  });
}

/** Points of one edge, and the straight line through them so far. */
class Chain {
  readonly cuts: number[] = [];
  readonly places: number[] = [];
  readonly inks: number[] = [];
  readonly papers: number[] = [];
  outer = 0;
  private sumX = 0;
  private sumY = 0;
  private sumXX = 0;
  private sumXY = 0;

  constructor(readonly opensInk: boolean) {}

  add(cut: number, place: number, ink: number, paper: number, isOuter: boolean): void {
    this.cuts.push(cut);
    this.places.push(place);
    this.inks.push(ink);
    this.papers.push(paper);
    if (isOuter) this.outer++;
    this.sumX += cut;
    this.sumY += place;
    this.sumXX += cut * cut;
    this.sumXY += cut * place;
  }

  get slope(): number {
    const count = this.cuts.length;
    return (count * this.sumXY - this.sumX * this.sumY) / (count * this.sumXX - this.sumX ** 2);
  }

  at(cut: number): number {
    const count = this.cuts.length;
    return this.sumY / count + this.slope * (cut - this.sumX / count);
  }

  /** Root mean square of how far the points lie beside the line. */
  get rough(): number {
    const sum = this.cuts.reduce((total, cut, i) => total + (this.places[i] - this.at(cut)) ** 2, 0);
    return Math.sqrt(sum / this.cuts.length);
  }
}

interface Follow {
  readonly isLevel: boolean;
  readonly step: number;
  /** How long the cuts are. */
  readonly across: number;
  readonly ppi: number;
}

function followed(cuts: Cuts, follow: Follow): StraightEdge[] {
  const { step, across, ppi } = follow;
  const leanPx = step * Math.tan((mostLeanDegrees * Math.PI) / 180);
  const besidePx = Math.max(1.5, mmToPx(besideMm, ppi));
  const leastPoints = Math.floor(mmToPx(leastBorderMm, ppi) / step);
  let open: Chain[] = [];
  const done: StraightEdge[] = [];
  const end = (chain: Chain) => {
    if (chain.cuts.length < leastPoints || chain.rough > mmToPx(mostRoughMm, ppi)) return;
    if (Math.abs(chain.slope) <= leanPx) done.push(edgeOf(chain, follow));
  };
  for (const [cut, places] of cuts.entries()) {
    const taken = new Uint8Array(places.length);
    const going: Chain[] = [];
    for (const chain of open) {
      const isKnown = chain.cuts.length >= knownFrom;
      const missed = cut - chain.cuts[chain.cuts.length - 1];
      const expected = isKnown ? chain.at(cut) : chain.places[chain.places.length - 1];
      const near = nearest(places, taken, expected, chain.opensInk);
      const within = isKnown ? besidePx : leanPx * missed + besidePx;
      if (near !== -1 && Math.abs(places[near] - expected) <= within) {
        taken[near] = 1;
        addPoint(chain, cut, places, near, across);
      } else if (missed > mostMissed) {
        end(chain);
        continue;
      }
      going.push(chain);
    }
    for (let i = 0; i < places.length; i++) {
      if (taken[i] === 1) continue;
      const chain = new Chain(i % 2 === 0);
      addPoint(chain, cut, places, i, across);
      going.push(chain);
    }
    open = going;
  }
  for (const chain of open) end(chain);
  return done;
}

/** The nearest place of an edge of that kind which no other has taken; -1 for none. */
function nearest(places: readonly number[], taken: Uint8Array, expected: number, opensInk: boolean): number {
  let [low, high] = [0, places.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (places[middle] < expected) low = middle + 1;
    else high = middle;
  }
  let best = -1;
  for (let i = Math.max(0, low - 2); i < Math.min(places.length, low + 2); i++) {
    if ((i % 2 === 0) !== opensInk || taken[i] === 1) continue;
    if (best === -1 || Math.abs(places[i] - expected) < Math.abs(places[best] - expected)) best = i;
  }
  return best;
}

function addPoint(chain: Chain, cut: number, places: readonly number[], i: number, across: number): void {
  const { opensInk } = chain;
  const [before, after] = [places[i - 1] ?? 0, places[i + 1] ?? across];
  const [ink, paper] = opensInk
    ? [after - places[i], places[i] - before]
    : [places[i] - before, after - places[i]];
  chain.add(cut, places[i], ink, paper, opensInk ? i === 0 : i === places.length - 1);
}

function edgeOf(chain: Chain, { isLevel, step }: Follow): StraightEdge {
  const { cuts, opensInk, inks, papers, outer } = chain;
  const [first, last] = [cuts[0], cuts[cuts.length - 1]];
  return {
    isLevel,
    opensInk,
    from: first * step + (step >> 1),
    to: last * step + (step >> 1),
    atFrom: chain.at(first),
    atTo: chain.at(last),
    inkPx: middleOf(inks),
    paperPx: middleOf(papers),
    outerShare: outer / cuts.length,
  };
}

function middleOf(numbers: readonly number[]): number {
  return [...numbers].sort((a, b) => a - b)[numbers.length >> 1];
}
