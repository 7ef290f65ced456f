import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { mmToPx, pxToMm } from '../../config/units.js';
import type { Separator } from '../inks/separator.js';
import { PlaceGrid } from '../model/place-grid.js';
import type { MeasuredBox } from '../model/places.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';

/** Gradients whose steps may be seen in print. */
export interface Bands {
  /** Width of the bands where they show most, millimetres, and the step from one to the next, CIEDE2000 and percent of one solid ink. */
  readonly widthMm: number;
  readonly stepDe: number;
  readonly stepPercent: number;
  /** Where such gradients are, the largest first. */
  readonly boxes: readonly MeasuredBox[];
}

/** What bands have to be, so that they show. */
export interface BandLimits {
  readonly bandWidthMm: number;
  readonly bandStepDe: number;
}

/** Rows and columns that are looked at lie so far apart. Own choice. */
const everyMm = 4;
/** So many bands in one direction make a gradient; fewer are shading in flats. Own choice. */
const leastBands = 6;
/** A larger step was painted as one: CIEDE2000, and in counts of ink, which is quicker asked. Own choice. */
const mostStepDe = 3;
const mostCounts = 40;
const squareMm = 16;

/**
 * Looks for smooth gradients that go up or down in steps: bands without any grain, each as wide as the limit at least. Noise or
 * dither breaks the bands, and more levels, as from a picture of 16 bit, make them narrower and their steps lower.
 * @param plates the inks beneath the line, at `ppi`
 */
export function measureBands(
  plates: Separation,
  ppi: number,
  limits: BandLimits,
  { labOf }: Pick<Separator, 'labOf'>,
): Bands | undefined {
  const { width, height } = plates;
  const planes = processPlanes(plates);
  const every = Math.max(1, Math.round(mmToPx(everyMm, ppi)));
  const least = mmToPx(limits.bandWidthMm, ppi);
  const grid = new PlaceGrid(plates, mmToPx(squareMm, ppi));
  let worst = { px: 0, de: 0, counts: 0 };
  const look = (from: number, stride: number, length: number) => {
    for (const chain of chainsAlong(planes, from, stride, length, least)) {
      for (const ramp of rampsOf(chain, planes, stride, labOf)) {
        const across = bandWidth(planes, ramp.middle, ramp.band, stride === 1 ? width : 1, plates);
        if (ramp.de <= limits.bandStepDe || across < least) continue;
        if (across * ramp.de > worst.px * worst.de) worst = { px: across, de: ramp.de, counts: ramp.counts };
        for (const at of ramp.bands) grid.add(at % width, Math.floor(at / width), 1);
      }
    }
  };
  for (let y = every >> 1; y < height; y += every) look(y * width, 1, width);
  for (let x = every >> 1; x < width; x += every) look(x, width, height);
  const boxes = grid.boxes(1).filter(({ width: w, height: h }) => Math.max(w, h) > least);
  if (boxes.length === 0) return undefined;
  return {
    widthMm: pxToMm(worst.px, ppi),
    stepDe: worst.de,
    stepPercent: (worst.counts * 100) / 255,
    boxes,
  };
}

/** Bands of one colour each, one after the other without a gap, a small step between them; by the index of their first pixels. */
type Chain = readonly number[];

/** Finds chains of bands along a row or a column; the last entry of each is where it ends. */
function chainsAlong(
  planes: ProcessPlanes,
  from: number,
  stride: number,
  length: number,
  least: number,
): Chain[] {
  const chains: Chain[] = [];
  let chain: number[] = [];
  const end = (at: number) => {
    if (chain.length >= leastBands) chains.push([...chain, at]);
    chain = [];
  };
  let start = from;
  for (let n = 1, at = from + stride; n <= length; n++, at += stride) {
    if (n < length && isSame(planes, at, at - stride)) continue;
    if ((at - start) / stride >= least) chain.push(start);
    else end(start);
    if (chain.length > 0 && (n === length || countsBetween(planes, at - stride, at) > mostCounts)) end(at);
    start = at;
  }
  return chains;
}

function isSame([c, m, y, k]: ProcessPlanes, one: number, other: number): boolean {
  return c[one] === c[other] && m[one] === m[other] && y[one] === y[other] && k[one] === k[other];
}

/** How much ink changes from one pixel to another, in counts. */
function countsBetween(planes: ProcessPlanes, one: number, other: number): number {
  return planes.reduce((sum, plane) => sum + Math.abs(plane[other] - plane[one]), 0);
}

/** Bands that go one way. */
interface Ramp {
  /** A pixel of each of its bands. */
  readonly bands: readonly number[];
  /** A pixel in its middle. */
  readonly middle: number;
  /** Width of a band along the row or column, mean, in pixels. */
  readonly band: number;
  /** The step between two bands, mean: CIEDE2000 and counts of ink. */
  readonly de: number;
  readonly counts: number;
}

/** The stretches of a chain that go on in one direction of colour. */
function rampsOf(
  chain: Chain,
  planes: ProcessPlanes,
  stride: number,
  labOf: Separator['labOf'],
): readonly Ramp[] {
  const [c, m, y, k] = planes.map((plane) => Uint8Array.from(chain.slice(0, -1), (at) => plane[at]));
  const looks = labOf([c, m, y, k]);
  const labAt = (band: number): Lab => [looks[band * 3], looks[band * 3 + 1], looks[band * 3 + 2]];
  const steps = Array.from({ length: chain.length - 2 }, (_, n) => {
    const [one, other] = [labAt(n), labAt(n + 1)];
    return { by: other.map((value, i) => value - one[i]), de: ciede2000(one, other) };
  });
  const ramps: Ramp[] = [];
  let first = 0;
  for (let n = 0; n <= steps.length; n++) {
    const step = steps[n];
    const before = n > first ? steps[n - 1] : undefined;
    const goesOn =
      step !== undefined && step.de <= mostStepDe && (before === undefined || dot(before.by, step.by) > 0);
    if (goesOn) continue;
    if (n - first + 1 >= leastBands) ramps.push(rampOf(chain, first, n, steps, planes, stride));
    first = step !== undefined && step.de > mostStepDe ? n + 1 : n;
  }
  return ramps;
}

function dot(one: readonly number[], other: readonly number[]): number {
  return one.reduce((sum, value, i) => sum + value * other[i], 0);
}

/** The bands from one to another, both included. */
function rampOf(
  chain: Chain,
  first: number,
  last: number,
  steps: readonly { readonly de: number }[],
  planes: ProcessPlanes,
  stride: number,
): Ramp {
  const count = last - first;
  let [de, counts] = [0, 0];
  for (let n = first; n < last; n++) {
    de += steps[n].de / count;
    counts += countsBetween(planes, chain[n], chain[n + 1]) / count;
  }
  const bands = chain.slice(first, last + 1);
  const band = (chain[last + 1] - chain[first]) / stride / (count + 1);
  return { bands, middle: chain[first + (count >> 1)], band, de, counts };
}

/** How wide a band is across itself, where it runs aslant: from how long it is along the row and along the column. */
function bandWidth(
  planes: ProcessPlanes,
  at: number,
  along: number,
  stride: number,
  { width, height }: Separation,
): number {
  const column = at % width;
  const row = Math.floor(at / width);
  const [before, behind] = stride === 1 ? [column, width - 1 - column] : [row, height - 1 - row];
  let across = 1;
  for (let n = 1; n <= before && isSame(planes, at, at - n * stride); n++) across++;
  for (let n = 1; n <= behind && isSame(planes, at, at + n * stride); n++) across++;
  return 1 / Math.sqrt(1 / along ** 2 + 1 / across ** 2);
}
