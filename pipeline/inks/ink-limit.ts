import type { KernelMemory } from '../kernels/kernel-memory.js';
import { bandPixels, inBands } from '../kernels/kernel-memory.js';
import { processPlanes, type Separation } from '../model/separation.js';
import type { InkModel } from './ink-model.js';
import { QuadraticStep } from './ink-step.js';

/**
 * The ink limit. Paper takes only so much ink, so where a colour asks for more, cyan, magenta and yellow give way
 * together and black takes over their grey: the colour is looked for that is closest to the one asked for among all
 * mixes within the limit, by the profile's own account of what the inks look like.
 */

/**
 * Rounding four inks to 8 bit can add half a step each, two in all; the rest covers the fixed-point weights with which
 * pixels are interpolated. Nodes stay this far below the limit so that no pixel passes it.
 */
const roundingMargin = 2.2 / 255;

/**
 * How much a change of ink counts against a change of colour, in squared Lab units per squared unit of ink. It keeps
 * the choice unique where inks hardly show (in the deepest shadows) and so keeps neighbours alike. Own choice: at 4, it
 * costs less than 0.1 dE00 on average.
 */
const inkWeight = 4;

/** Rounds of improvement; after four, the inks move by less than half an 8-bit step. */
const rounds = 5;

/** Whether nodes are to be held to a limit at all, and to what sum of inks (0 to 4). */
export function limitTarget(limitPercent: number): number {
  return Math.max(0, limitPercent / 100 - roundingMargin);
}

/**
 * Holds every node of a table to an ink limit.
 * @param nodes nodes x 4 inks, from 0 to 1
 * @param limitPercent the most C+M+Y+K in percent
 * @param model what the inks look like; asked for only if a node is over the limit
 * @returns a limited copy and how many nodes gave way; `nodes` itself if none had to
 */
export function limitNodes(
  nodes: Float64Array,
  limitPercent: number,
  model: () => InkModel,
): { nodes: Float64Array; limited: number } {
  const target = limitTarget(limitPercent);
  const over: number[] = [];
  let mostBlack = 0;
  for (let at = 0; at < nodes.length; at += 4) {
    mostBlack = Math.max(mostBlack, nodes[at + 3]);
    if (nodes[at] + nodes[at + 1] + nodes[at + 2] + nodes[at + 3] > target) over.push(at);
  }
  if (over.length === 0) return { nodes, limited: 0 };
  const out = nodes.slice();
  const limiter = new NodeLimiter(model(), target, mostBlack);
  for (const at of over) limiter.limit(out.subarray(at, at + 4));
  return { nodes: out, limited: over.length };
}

/** Finds, for one mix of inks after another, the closest colour within the limit. Keeps its working space. */
class NodeLimiter {
  private readonly wanted = new Float64Array(3);
  private readonly lab = new Float64Array(3);
  private readonly slope = new Float64Array(12);
  private readonly metric = new Float64Array(9);
  private readonly asked = new Float64Array(4);
  private readonly step = new QuadraticStep();

  /**
   * @param target sum of inks to reach, 0 to 4
   * @param mostBlack the most black that the profile ever prints; the limit asks for no more
   */
  constructor(
    private readonly model: InkModel,
    private readonly target: number,
    mostBlack: number,
  ) {
    this.step.upper.set([1, 1, 1, Math.max(mostBlack, target - 3)]);
  }

  /** Changes `ink` (four values from 0 to 1) in place. */
  limit(ink: Float64Array): void {
    this.asked.set(ink);
    this.model.look(ink, this.wanted, this.slope);
    differenceMetric(this.wanted, this.metric);
    for (let round = 0; round < rounds; round++) {
      this.model.look(ink, this.lab, this.slope);
      this.fillStep(ink);
      this.step.solve(ink, this.target);
    }
  }

  /** Linearises the colour around `ink`: least squares of the colour difference plus the change of ink. */
  private fillStep(ink: Float64Array): void {
    const { slope, metric, step } = this;
    for (let i = 0; i < 4; i++) {
      let pull = inkWeight * (this.asked[i] - ink[i]);
      for (let row = 0; row < 3; row++) {
        let weighted = 0;
        for (let column = 0; column < 3; column++)
          weighted += metric[row * 3 + column] * slope[column * 4 + i];
        pull += weighted * (this.wanted[row] - this.lab[row]);
        for (let j = 0; j < 4; j++) {
          if (row === 0) step.bend[i * 4 + j] = i === j ? inkWeight : 0;
          step.bend[i * 4 + j] += weighted * slope[row * 4 + j];
        }
      }
      step.pull[i] = pull;
    }
  }
}

/**
 * Weights for small differences around a colour, so that their sum of squares comes near CIEDE2000's: its lightness,
 * chroma and hue scales (Sharma, Wu and Dalal 2005), without the hue dependence T and the rotation term.
 * @param metric receives a symmetric 3 x 3 matrix over L, a, b
 */
export function differenceMetric(lab: Float64Array, metric: Float64Array): void {
  const fromMiddle = (lab[0] - 50) ** 2;
  const sL = 1 + (0.015 * fromMiddle) / Math.sqrt(20 + fromMiddle);
  const chroma7 = Math.hypot(lab[1], lab[2]) ** 7;
  const stretch = 1 + 0.5 * (1 - Math.sqrt(chroma7 / (chroma7 + 25 ** 7)));
  const [a, b] = [lab[1] * stretch, lab[2]];
  const chroma = Math.hypot(a, b);
  const [ua, ub] = chroma < 1e-9 ? [1, 0] : [a / chroma, b / chroma];
  const wC = 1 / (1 + 0.045 * chroma) ** 2;
  const wH = 1 / (1 + 0.015 * chroma) ** 2;
  const ab = (wC - wH) * ua * ub * stretch;
  metric.set([1 / sL ** 2, 0, 0, 0, (wC * ua * ua + wH * ub * ub) * stretch ** 2, ab]);
  metric.set([0, ab, wC * ub * ub + wH * ua * ua], 6);
}

/**
 * Lays black line over a separation, overprinting: the colour beneath stays, lowered only as far as the ink limit
 * asks. Where `coverage` is above 0, C+M+Y+100 % comes within the limit (all three alike) and black rises to full in
 * the measure of the coverage.
 * @param separation changed in place
 * @param coverage width x height, 0 no line to 255 all line
 * @param limitPercent the most C+M+Y+K in percent
 * @returns pixels whose colour was lowered
 */
export function limitBeneathBlack(
  separation: Separation,
  coverage: Uint8Array,
  limitPercent: number,
  memory: KernelMemory,
): number {
  const planes = processPlanes(separation);
  const headroom = Math.max(0, Math.floor(((limitPercent - 100) * 255) / 100));
  // Share that stays, in 1/65536, for every sum of three inks; rounded down, so that the sum never passes the headroom.
  const share = new Uint32Array(3 * 255 + 1).map((_, inks) =>
    inks <= headroom ? 65536 : Math.floor((headroom * 65536) / inks),
  );
  const [shares, cover, ...places] = memory.scratch(
    share.byteLength,
    ...new Array<number>(5).fill(bandPixels),
  );
  memory.addressOf(new Uint8Array(share.buffer), shares);
  let lowered = 0;
  inBands(coverage.length, (start, count) => {
    const line = memory.addressOf(coverage.subarray(start, start + count), cover);
    const inks = planes.map((plane) => plane.subarray(start, start + count));
    const [c, m, y, k] = inks.map((ink, i) => memory.addressOf(ink, places[i]));
    lowered += memory.kernels.overprint(line, c, m, y, k, count, headroom, shares);
    for (const [i, at] of [c, m, y, k].entries()) memory.store(at, inks[i]);
  });
  return lowered;
}
