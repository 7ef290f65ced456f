import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import type { InkSaving } from '../../config/print-spec.js';
import { blackPath } from './black-path.js';
import type { InkModel } from './ink-model.js';

/**
 * Ink saving: where cyan, magenta and yellow make a grey together, black prints it, so that the colour stays as it is by the profile's
 * own account of the inks. A colour of one or two inks has no such grey, and paper none at all: both stay.
 */

/**
 * Tones lighter than the first keep their inks, those darker than the second give all their grey away: dots of black show in light
 * tones. L*. Own choice.
 */
const grainyFrom = 85;
const grainlessTo = 60;

/**
 * Light skin as a region of Lab, wide enough for faces in colour and for painted ones. Own choice: no published
 * source was at hand. It has L* from 55 up, a hue from 25 to 85 degrees (from pink to sand), a chroma from 8 to 45.
 */
export const lightSkin = { leastL: 55, hue: [25, 85], chroma: [8, 45] } as const;

/** How far the region is kept beyond its bounds: two nodes of a table, so that no colour within lies beside a node without. */
const keptL = 4;
const keptHue = 8;
const keptChroma = 4;

/** Over how much more it fades, so that there is no step in print where it ends. Own choice. */
const fadeL = 12;
const fadeHue = 20;
const fadeChroma = { below: 4, above: 15 } as const;

/** Tries at a shorter way for a colour that would move too far. */
const attempts = 4;

/** Aims a little below what is allowed, since a shorter way moves a colour only about as much less. */
const towards = 0.9;

/**
 * By how much the exchange of inks may differ over a 64th of a table's axis (4 levels of 255): about half as much as the profiles' own
 * inks do, so that no tone gets an edge where black takes over. Own choice.
 */
const exchangeStep = 0.05;
const stepShare = 1 / 64;

/** What saving does to a table. */
export interface SavedNodes {
  readonly nodes: Float64Array;
  /** Nodes that print with other inks. */
  readonly changed: number;
}

/**
 * Replaces grey by black in every node of a table.
 * @param nodes nodes x 4 inks, from 0 to 1, the last axis running fastest; they stay as they are
 * @param gridPoints nodes along each axis
 * @param model what the inks look like
 */
export function saveInk(
  nodes: Float64Array,
  gridPoints: number,
  saving: InkSaving,
  model: InkModel,
): SavedNodes {
  const out = nodes.slice();
  let mostBlack = 0;
  for (let at = 3; at < nodes.length; at += 4) mostBlack = Math.max(mostBlack, nodes[at]);
  const saver = new NodeSaver(saving, model, mostBlack);
  const exchanges = new Float64Array(nodes.length / 4);
  for (let n = 0; n < exchanges.length; n++)
    exchanges[n] = saver.exchangeOf(nodes.subarray(n * 4, n * 4 + 4));
  boundSlopes(exchanges, gridPoints, exchangeStep / (stepShare * (gridPoints - 1)));
  let changed = 0;
  for (let n = 0; n < exchanges.length; n++) {
    if (exchanges[n] > 0 && saver.save(out.subarray(n * 4, n * 4 + 4), exchanges[n])) changed++;
  }
  return { nodes: out, changed };
}

/** Lowers values until no two neighbours along any axis of their grid differ by more than a step: the largest such values below. */
function boundSlopes(values: Float64Array, gridPoints: number, step: number): void {
  for (let stride = 1; stride < values.length; stride *= gridPoints) {
    const isInLine = (at: number) => Math.floor(at / stride) % gridPoints !== 0;
    for (let at = stride; at < values.length; at++) {
      if (isInLine(at)) values[at] = Math.min(values[at], values[at - stride] + step);
    }
    for (let at = values.length - 1; at >= stride; at--) {
      if (isInLine(at)) values[at - stride] = Math.min(values[at - stride], values[at] + step);
    }
  }
}

/** Works on one node after the other. Keeps its working space. */
class NodeSaver {
  private readonly path;
  private readonly lab = new Float64Array(3);
  private readonly found = new Float64Array(4);
  private readonly slope = new Float64Array(12);

  constructor(
    private readonly saving: InkSaving,
    private readonly model: InkModel,
    mostBlack: number,
  ) {
    this.path = blackPath(model, mostBlack);
  }

  /** How far a mix may go on its path to black: 0 where it stays. */
  exchangeOf(ink: Float64Array): number {
    if (Math.min(ink[0], ink[1], ink[2]) <= 0) return 0;
    const before = this.look(ink);
    const share = ramp(before[0], grainyFrom, grainlessTo);
    if (share === 0) return 0;
    const skin = skinShare(before);
    const full = this.path.walk(ink, this.lab, 1) * share;
    // Black never gains more than the ink that changes most.
    return this.within(before, full + (Math.min(full, this.saving.skinBlackPercent / 100) - full) * skin);
  }

  /** Changes `ink` in place; false where it stays. */
  save(ink: Float64Array, far: number): boolean {
    const before = this.look(ink);
    this.path.walk(ink, this.lab, far);
    if (this.within(before, far) === 0 || sumOf(this.found) >= sumOf(ink)) return false;
    ink.set(this.found);
    return true;
  }

  /** How much of its way a colour can go without moving further than it may, once its path was walked; the mix is left in `found`. */
  private within(before: Lab, far: number): number {
    const { mostDe, skinDe } = this.saving;
    const most = mostDe + (skinDe - mostDe) * skinShare(before);
    let left = far;
    for (let attempt = 0; attempt < attempts && left > 0; attempt++) {
      this.path.inksAt(left, this.found);
      const de = ciede2000(before, this.look(this.found));
      if (de <= most) return left;
      left *= (most / de) * towards;
    }
    return 0;
  }

  private look(ink: Float64Array): Lab {
    this.model.look(ink, this.lab, this.slope);
    return [this.lab[0], this.lab[1], this.lab[2]];
  }
}

function sumOf(ink: Float64Array): number {
  return ink[0] + ink[1] + ink[2] + ink[3];
}

/** Whether a colour is light skin: 1 within the region and a little beyond, 0 far from it, without a step between. */
function skinShare([l, a, b]: Lab): number {
  const chroma = Math.hypot(a, b);
  const hue = (Math.atan2(b, a) * 180) / Math.PI;
  const [fromHue, toHue] = lightSkin.hue;
  const [fromChroma, toChroma] = lightSkin.chroma;
  return (
    fading(lightSkin.leastL - keptL - l, fadeL) *
    fading(fromHue - keptHue - hue, fadeHue) *
    fading(hue - toHue - keptHue, fadeHue) *
    fading(fromChroma - keptChroma - chroma, fadeChroma.below) *
    fading(chroma - toChroma - keptChroma, fadeChroma.above)
  );
}

/** 1 up to a bound, 0 from so far beyond it on. */
function fading(beyond: number, over: number): number {
  return 1 - ramp(beyond, 0, over);
}

/** From 0 at one value to 1 at another, without a corner. */
function ramp(value: number, none: number, all: number): number {
  const share = Math.min(1, Math.max(0, (value - none) / (all - none)));
  return share * share * (3 - 2 * share);
}
