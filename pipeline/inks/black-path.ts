import type { InkModel } from './ink-model.js';

/**
 * All mixes of one colour, from the inks that a table has for it to the one with the most black. How far a mix lies on that path is
 * told by the ink that changes most, 0 to 1: in the dark a little black stands for much of the others.
 */
export interface BlackPath {
  /**
   * Follows the path of a mix.
   * @param ink four inks from 0 to 1
   * @param lab its colour
   * @param atMost how far anybody will ask
   * @returns how far it goes before one of the others is used up, or black is at its most
   */
  walk(ink: Float64Array, lab: Float64Array, atMost: number): number;
  /** The mix so far on the path that was walked last. */
  inksAt(far: number, ink: Float64Array): void;
}

/** Steps that the grey of a mix is exchanged in. Twice as many move the inks of the shipped profiles by less than an 8-bit step. */
const stepsOfGrey = 6;
/** More are never needed: black covers at least a third of what the grey of three inks does. */
const mostSteps = 24;
/** Grey that is hardly there is exchanged in steps no smaller than this. */
const leastStep = 0.01;
/** Rounds that bring a mix back to its colour. */
const rounds = 2;
/**
 * How much a change of ink counts against a change of colour, in squared Lab units per squared unit of ink. It keeps the inks apart where
 * they hardly show any more. Own choice.
 */
const inkWeight = 4;

/**
 * @param model what the inks look like
 * @param mostBlack the most black that the profile ever prints, 0 to 1
 */
export function blackPath(model: InkModel, mostBlack: number): BlackPath {
  const points = Array.from({ length: mostSteps + 1 }, () => new Float64Array(4));
  const wanted = new Float64Array(3);
  // How far each point lies on the path.
  const ends = new Float64Array(mostSteps + 1);
  const solver = new SameColour(model);
  let last = 0;
  return {
    walk(ink, lab, atMost) {
      wanted.set(lab);
      points[0].set(ink);
      const step = Math.max(leastStep, Math.min(ink[0], ink[1], ink[2]) / stepsOfGrey);
      last = 0;
      for (let share = 1; share === 1 && last < mostSteps && ends[last] < atMost; ) {
        const [from, to] = [points[last], points[++last]];
        to.set(from);
        to[3] += step;
        solver.improve(to, wanted);
        share = shareWithin(from, to, mostBlack);
        for (let i = 0; i < 4; i++) to[i] = from[i] + (to[i] - from[i]) * share;
        ends[last] = ends[last - 1] + mostChange(from, to);
      }
      return ends[last];
    },
    inksAt(far, ink) {
      let at = 1;
      while (at < last && ends[at] < far) at++;
      const [from, to] = [points[at - 1], points[at]];
      const length = ends[at] - ends[at - 1];
      const share = length === 0 ? 0 : Math.min(1, (far - ends[at - 1]) / length);
      for (let i = 0; i < 4; i++) ink[i] = from[i] + (to[i] - from[i]) * share;
      for (let round = 0; round < rounds; round++) solver.improve(ink, wanted);
      for (let i = 0; i < 4; i++) ink[i] = Math.min(1, Math.max(0, ink[i]));
    },
  };
}

function mostChange(from: Float64Array, to: Float64Array): number {
  let most = 0;
  for (let i = 0; i < 4; i++) most = Math.max(most, Math.abs(to[i] - from[i]));
  return most;
}

/** How far a step can be gone before an ink is used up or black is at its most: 0 to 1. */
function shareWithin(from: Float64Array, to: Float64Array, mostBlack: number): number {
  let share = to[3] > mostBlack ? Math.max(0, (mostBlack - from[3]) / (to[3] - from[3])) : 1;
  for (let i = 0; i < 3; i++) {
    if (to[i] < 0) share = Math.min(share, Math.max(0, from[i] / (from[i] - to[i])));
  }
  return share;
}

/** Brings cyan, magenta and yellow nearer to those that make a colour with the black that there is. */
class SameColour {
  private readonly within = new Float64Array(4);
  private readonly lab = new Float64Array(3);
  private readonly slope = new Float64Array(12);
  private readonly move = new Float64Array(3);

  constructor(private readonly model: InkModel) {}

  /** One round of damped least squares; changes `ink`, which may come to lie below 0. */
  improve(ink: Float64Array, wanted: Float64Array): void {
    for (let i = 0; i < 4; i++) this.within[i] = Math.min(1, Math.max(0, ink[i]));
    this.model.look(this.within, this.lab, this.slope);
    // A mix beyond the bounds is judged by the slope at them.
    for (let row = 0; row < 3; row++) {
      for (let i = 0; i < 4; i++) this.lab[row] += this.slope[row * 4 + i] * (ink[i] - this.within[i]);
    }
    this.solve(wanted);
    for (let i = 0; i < 3; i++) ink[i] += this.move[i];
  }

  /** The change of three inks, by Cramer's rule on the normal equations. */
  private solve(wanted: Float64Array): void {
    const { slope: s, lab, move } = this;
    const dot = (i: number, j: number) => s[i] * s[j] + s[4 + i] * s[4 + j] + s[8 + i] * s[8 + j];
    const pull = (i: number) =>
      s[i] * (wanted[0] - lab[0]) + s[4 + i] * (wanted[1] - lab[1]) + s[8 + i] * (wanted[2] - lab[2]);
    const [a, b, c] = [dot(0, 0) + inkWeight, dot(0, 1), dot(0, 2)];
    const [d, e, f] = [dot(1, 1) + inkWeight, dot(1, 2), dot(2, 2) + inkWeight];
    const [p, q, r] = [pull(0), pull(1), pull(2)];
    const [A, B, C] = [d * f - e * e, c * e - b * f, b * e - c * d];
    const [D, E, F] = [a * f - c * c, b * c - a * e, a * d - b * b];
    const whole = a * A + b * B + c * C;
    move[0] = (A * p + B * q + C * r) / whole;
    move[1] = (B * p + D * q + E * r) / whole;
    move[2] = (C * p + E * q + F * r) / whole;
  }
}
