import type { LoadedProfile } from '../../config/press/colour-engine.js';
import { blackLightness, blackRamp, compensatedLightness } from './black-ramp.js';
import { differenceMetric } from './ink-limit.js';
import type { InkModel } from './ink-model.js';

/**
 * From the inks of one press to those of another, the drawing of the black plate kept. A profile's own way through Lab
 * forgets which ink was black: a pure black becomes a mix of four inks, and lettering prints in four plates. Here black follows
 * from black alone, ramp to ramp by lightness and solid to solid, and cyan, magenta and yellow are looked for that give, with that
 * black, the colour that the profile's own way has.
 */
export interface KeptBlack {
  /** The other press, whose inks go in. */
  readonly source: LoadedProfile;
  /** The press that is printed on. */
  readonly press: LoadedProfile;
  /** What the press makes of its inks. */
  readonly model: InkModel;
}

/**
 * Beside pure black, within so much of any other ink, the colour passes over from that of black ink alone to that of the profile's
 * own way: so pure black has no other ink, and nothing jumps. Own choice.
 */
const passInk = 0.3;

/** How much a change of ink from the one that came counts against a change of colour: see `inkWeight` of ink-limit.ts. */
const inkWeight = 4;

/**
 * With the black that follows from the other press's, a colour may be missed by so much, about in CIEDE2000. Where it is by more,
 * black gives way, the further the more: thin black of newsprint beneath colour has no like on coated paper. The nearer it is to solid,
 * the less it gives way, and solid black stays solid whatever lies beneath it: that is line. What lies beneath stays there too, so that a
 * plate out of register shows no paper. Own choice.
 */
const mayMiss = 1;
const blackWeight = 20_000;
const nearSolid = 8;

/** Rounds of improvement; it ends sooner where no ink moves by more than a fifth of an 8-bit step. */
const rounds = 6;
const settled = 0.2 / 255;

/**
 * @param nodes of the profile's own way, grid^4 x 4 inks from 0 to 1, black fastest; left as they are
 * @param grid nodes along each ink
 * @returns nodes of the same table with black kept
 */
export function keepBlack(nodes: Float64Array, grid: number, kept: KeptBlack): Float64Array {
  const blacks = blackToBlack(grid, kept);
  const finder = new InkFinder(kept.model);
  const passes = axisDifferences(nodes, blacks, kept.model);
  const out = new Float64Array(nodes.length);
  const share = (step: number) => Math.max(0, 1 - step / (grid - 1) / passInk);
  for (let node = 0, at = 0; at < out.length; node++, at += 4) {
    const k = node % grid;
    const inks = [node / grid ** 3, node / grid ** 2, node / grid].map((n) => Math.floor(n) % grid);
    const near = inks.reduce((product, step) => product * share(step), 1);
    for (let ink = 0; ink < 3; ink++) finder.came[ink] = inks[ink] / (grid - 1);
    finder.came[3] = blacks[k];
    finder.wish(nodes.subarray(at, at + 4), passes.subarray(k * 3, k * 3 + 3), near);
    finder.find(out.subarray(at, at + 4));
  }
  return out;
}

/** The black of the press for each step of black that comes: as light, the solids on each other. */
function blackToBlack(grid: number, { source, press }: KeptBlack): Float64Array {
  const lightness = blackLightness(source);
  const ramp = blackRamp(press);
  const solid = lightness(1);
  return Float64Array.from({ length: grid }, (_, step) =>
    ramp.inkFor(compensatedLightness(lightness(step / (grid - 1)), solid, ramp.darkest)),
  );
}

/** By how much black ink alone differs from the profile's own way to print it, in Lab, for each step of black. */
function axisDifferences(nodes: Float64Array, blacks: Float64Array, model: InkModel): Float64Array {
  const out = new Float64Array(blacks.length * 3);
  const [alone, own, slope] = [new Float64Array(3), new Float64Array(3), new Float64Array(12)];
  for (const [k, black] of blacks.entries()) {
    model.look(Float64Array.of(0, 0, 0, black), alone, slope);
    model.look(nodes.subarray(k * 4, k * 4 + 4), own, slope);
    for (let i = 0; i < 3; i++) out[k * 3 + i] = alone[i] - own[i];
  }
  return out;
}

/** Finds the inks beside a black, one mix after another. Keeps its working space. */
class InkFinder {
  /** Cyan, magenta, yellow that came, and the black that follows from theirs; of mixes that look alike, the nearest is found. */
  readonly came = new Float64Array(4);
  private readonly wanted = new Float64Array(3);
  private readonly lab = new Float64Array(3);
  private readonly slope = new Float64Array(12);
  private readonly metric = new Float64Array(9);
  private readonly bend = new Float64Array(16);
  private readonly pull = new Float64Array(4);
  private readonly moved = new Float64Array(4);

  constructor(private readonly model: InkModel) {}

  /** Says which colour is looked for: that of some inks, and a share of a difference added. */
  wish(inks: Float64Array, difference: Float64Array, share: number): void {
    this.model.look(inks, this.wanted, this.slope);
    for (let i = 0; i < 3; i++) this.wanted[i] += share * difference[i];
    differenceMetric(this.wanted, this.metric);
  }

  /** Fills `ink` with the closest mix: with this very black, or where that misses the colour, with another. */
  find(ink: Float64Array): void {
    ink.set(this.came);
    this.improve(ink, 3, inkWeight, 0);
    const [missed, black] = [this.missed(ink) - mayMiss, ink[3]];
    if (missed <= 0) return;
    const weight = inkWeight * (1 + black ** nearSolid * missed ** 2);
    if (black === 1) this.improve(ink, 3, weight, 0);
    else this.improve(ink, 4, weight, blackWeight / missed ** 2 / (1 - black));
  }

  /** @param free how many inks may move, black the last; with what weight the others stay, and black */
  private improve(ink: Float64Array, free: 3 | 4, weight: number, weightOfBlack: number): void {
    for (let round = 0; round < rounds; round++) {
      this.model.look(ink, this.lab, this.slope);
      for (let i = 0; i < free; i++) this.linearise(ink, i, i < 3 ? weight : weightOfBlack);
      if (this.move(ink, free) < settled) return;
    }
  }

  /** By how much a mix misses the colour, about in CIEDE2000. */
  private missed(ink: Float64Array): number {
    const { wanted, lab, metric } = this;
    this.model.look(ink, lab, this.slope);
    let sum = 0;
    for (let row = 0; row < 3; row++) {
      for (let column = 0; column < 3; column++) {
        sum += metric[row * 3 + column] * (wanted[row] - lab[row]) * (wanted[column] - lab[column]);
      }
    }
    return Math.sqrt(Math.max(0, sum));
  }

  /** Least squares of the colour difference plus the change of ink, around `ink`: the equation of one ink. */
  private linearise(ink: Float64Array, i: number, weight: number): void {
    const { slope, metric, bend, pull } = this;
    pull[i] = weight * (this.came[i] - ink[i]);
    for (let j = 0; j < 4; j++) bend[i * 4 + j] = i === j ? weight : 0;
    for (let row = 0; row < 3; row++) {
      let weighted = 0;
      for (let column = 0; column < 3; column++) weighted += metric[row * 3 + column] * slope[column * 4 + i];
      pull[i] += weighted * (this.wanted[row] - this.lab[row]);
      for (let j = 0; j < 4; j++) bend[i * 4 + j] += weighted * slope[row * 4 + j];
    }
  }

  /** Moves the inks to the least, each within 0 and 1, one after the other until they rest; returns the most that one moved. */
  private move(ink: Float64Array, free: number): number {
    const { bend, pull, moved } = this;
    moved.fill(0);
    for (let sweep = 0; sweep < sweeps; sweep++) {
      for (let i = 0; i < free; i++) {
        let rest = pull[i];
        for (let j = 0; j < free; j++) if (j !== i) rest -= bend[i * 4 + j] * moved[j];
        moved[i] = Math.min(1 - ink[i], Math.max(-ink[i], rest / bend[i * 5]));
      }
    }
    let most = 0;
    for (let i = 0; i < free; i++) {
      ink[i] += moved[i];
      most = Math.max(most, Math.abs(moved[i]));
    }
    return most;
  }
}

/** Times that the inks are gone through in a round. */
const sweeps = 12;
