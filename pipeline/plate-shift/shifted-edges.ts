import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { type EdgePairs, leastBlack, leastInk } from './edge-pairs.js';
import { inkAt, type Move } from './moves.js';
import { type Shown, ShownEdges } from './shown-edges.js';

/**
 * What shows at edges when one plate is moved and the others are not: the mix of one ink from one side with the others from the
 * other side. Paper opens where that mix is much lighter than both sides; black has a fringe where its other inks are left beyond it.
 */

/** A stripe that is lighter than both sides by so much is seen as a flash of paper. L*. Own choice. */
const openL = 15;

/** A rim of another ink is told from what black borders on from so much on. CIEDE2000. Own choice. */
const fringeDe = 20;

/** What is lighter or more coloured is line in colour, whose rim is of its own colour. Own choice. */
const blackL = 25;
const blackChroma = 8;

/** Black that is lighter is a tone, not black with an edge. 8-bit counts, 85 %. Own choice. */
const deepBlack = 217;

/**
 * Each side has to go on: a pixel further on the side where the plate is missed, two moves on the other. The soft edge of a drawing, a
 * pixel of grey between black and paper, is no side.
 */
const stepsBeyond = { near: 1, far: 2 } as const;

/** Black that is wider than so many shifts is an area, no line between two fills. Own choice: 2 mm on a sheet. */
const lineShifts = 20;

/** Cases that are looked up at a time, and what is looked up of each: here, there, further back, further on, and the mix. */
const batch = 4096;
const looked = 5;

/** @param labOf L, a, b of mixes of inks, interleaved */
export function shiftedEdges(
  separation: Separation,
  { pixels, marks }: EdgePairs,
  moves: readonly Move[],
  labOf: (planes: ProcessPlanes) => Float32Array,
): ShownEdges {
  const shown = new ShownEdges(separation);
  const mixes = new Mixes(separation, moves, labOf, shown);
  for (let n = 0; n < pixels.length; n++) {
    for (let move = 0; move < moves.length; move++) mixes.addPair(pixels[n], move, marks[n] >> move);
  }
  mixes.look();
  return shown;
}

/** Mixes that wait to be looked up, all at once. */
class Mixes {
  private readonly planes: ProcessPlanes;
  private readonly size: Separation;
  private cases: Shown[] = [];
  private readonly inks = [0, 1, 2, 3].map(() => new Uint8Array(batch * looked));
  /** How wide a line may be, in pixels. */
  private readonly linePx: number;
  /** A move by less than a pixel covers it in part, and shows that much less. */
  private readonly covered: number;

  constructor(
    separation: Separation,
    private readonly moves: readonly Move[],
    private readonly labOf: (planes: ProcessPlanes) => Float32Array,
    private readonly shown: ShownEdges,
  ) {
    this.planes = processPlanes(separation);
    this.size = separation;
    this.covered = Math.min(1, moves[0].right);
    this.linePx = Math.ceil(lineShifts * moves[0].right);
  }

  /** @param mark bit 0: inks run against each other; bit 4: black ends with another ink */
  addPair(pixel: number, move: number, mark: number): void {
    if ((mark & 0x11) === 0) return;
    const { dx, dy } = this.moves[move];
    const other = pixel + dy * this.size.width + dx;
    if (other >= this.planes[0].length) return;
    for (let ink = 0; ink < 4; ink++) {
      const fall = this.planes[ink][pixel] - this.planes[ink][other];
      if ((mark & 1) !== 0 && Math.abs(fall) >= leastInk) this.add(pixel, other, ink, move, fall > 0, 'open');
    }
    if ((mark & 0x10) === 0) return;
    const [here, there] = [this.planes[3][pixel], this.planes[3][other]];
    if (Math.abs(here - there) < leastBlack || Math.max(here, there) < deepBlack) return;
    this.add(pixel, other, 3, move, here > there, 'fringe');
  }

  /** Adds the mix on the side that the ink is drawn away from. */
  private add(one: number, two: number, plate: number, move: number, isForth: boolean, kind: Shown['kind']) {
    const [pixel, other] = isForth ? [one, two] : [two, one];
    const way = isForth ? 1 : -1;
    const { right, down } = this.moves[move];
    const x = pixel % this.size.width;
    const y = (pixel - x) / this.size.width;
    const back = this.beyond(pixel, pixel - other, stepsBeyond.near);
    const on = this.beyond(other, other - pixel, stepsBeyond.far);
    const across = kind === 'open' ? undefined : this.across(pixel, pixel - other);
    const at = this.cases.length * looked;
    for (const [ink, plane] of this.planes.entries()) {
      const own = plane[pixel];
      const moved = Math.round(inkAt(plane, this.size, x + way * right, y + way * down));
      const left = kind === 'open' ? own : this.laidForBlack(plane, pixel, other, back, across);
      this.inks[ink].set([own, plane[other], plane[back], plane[on], ink === plate ? moved : left], at);
    }
    // What is seen here comes from there: the plate has moved the other way.
    this.cases.push({ pixel, plate, kind, right: -way * right, down: -way * down, amount: 0 });
    if (this.cases.length === batch) this.look();
  }

  /**
   * How much of an ink at the edge of black belongs to the black. What is beneath its very edge alone is a soft edge, and what goes
   * on as much on the other side of a line is a fill that ends beneath it, as fills should.
   */
  private laidForBlack(
    plane: Uint8Array,
    pixel: number,
    other: number,
    back: number,
    across: number | undefined,
  ) {
    const own = Math.min(plane[pixel], plane[back]);
    const isFill = across !== undefined && plane[across] > own - leastInk;
    return isFill ? Math.min(own, plane[other]) : own;
  }

  /** The first pixel beyond black, going back from its edge; undefined where it is wider than any line. */
  private across(pixel: number, step: number): number | undefined {
    const black = this.planes[3];
    for (let n = 1, at = pixel + step; n <= this.linePx; n++, at += step) {
      if (at < 0 || at >= black.length) return undefined;
      if (black[at] < leastBlack) return at;
    }
    return undefined;
  }

  /** A pixel so many steps further; the same where the page ends. */
  private beyond(pixel: number, step: number, steps: number): number {
    const at = pixel + step * steps;
    return at < 0 || at >= this.planes[0].length ? pixel : at;
  }

  /** Looks up what waits, and tells what is seen. */
  look(): void {
    const count = this.cases.length * looked;
    if (count === 0) return;
    const [c, m, y, k] = this.inks.map((ink) => ink.subarray(0, count));
    const lab = this.labOf([c, m, y, k]);
    for (const [n, one] of this.cases.entries()) {
      const amount =
        one.kind === 'open' ? opening(lab, n * looked) / openL : fringe(lab, n * looked) / fringeDe;
      if (amount >= this.covered) this.shown.add({ ...one, amount });
    }
    this.cases = [];
  }
}

/** How much lighter the mix is than the lightest of both sides, in L*. */
function opening(lab: Float32Array, first: number): number {
  const at = first * 3;
  return lab[at + 12] - Math.max(lab[at], lab[at + 3], lab[at + 6], lab[at + 9]);
}

/** How far the mix is from what black borders on, and from black: a rim is seen from both. */
function fringe(lab: Float32Array, first: number): number {
  const [black, beside, , beyond, rim] = [0, 1, 2, 3, 4].map((n): Lab => {
    const at = (first + n) * 3;
    return [lab[at], lab[at + 1], lab[at + 2]];
  });
  const isBlack = black[0] <= blackL && Math.hypot(black[1], black[2]) <= blackChroma;
  return isBlack ? Math.min(ciede2000(rim, black), ciede2000(rim, beside), ciede2000(rim, beyond)) : 0;
}
