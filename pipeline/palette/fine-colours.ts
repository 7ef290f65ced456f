import { mostFineColours } from '../model/palette.js';
import type { ColourBins } from './colour-bins.js';

/**
 * Bins of colour gathered into a few dozen fine colours: first around those that most of the page has, then the two merged, again and
 * again, that are least missed. No step is left to chance: the same page gives the same colours.
 */

/** A fine colour in the making. */
export interface Cluster {
  readonly oklab: Float64Array;
  /** Area in the bins' measure. */
  area: number;
  /** The cell that shows it, and how long a run of cells does. */
  cell: number;
  run: number;
}

/** Colours nearer than this are one: just told apart side by side. Own choice. */
const oneColour = 0.02;

/** A flank is less dense than this share of its peak, nowhere less dense than this on the way there, and no farther than this. Own choice. */
const flankShare = 0.75;
const valleyShare = 0.8;
const flankReach = 0.05;

/** What has less than this share of a page's colour is a mix at an edge, or dust: 12 square millimetres of a comic page. Own choice. */
const leastShare = 0.0003;

/** @returns the largest first, at most `mostFineColours` */
export function fineColours(bins: ColourBins): readonly Cluster[] {
  const order = byDensity(bins);
  const seeds = seedsOf(bins, order);
  const clusters = settled(bins, order, seeds);
  const kept = mergedTo(mostFineColours, withoutDust(withoutFlanks(clusters, bins), bins.area));
  return kept.sort((one, other) => other.area - one.area || one.cell - other.cell);
}

/** Bins, those first that have most of the page in and around them: where a colour really lies, whatever noise does. */
function byDensity({ oklab, areas, densityAt }: ColourBins): Int32Array {
  const density = Float64Array.from(areas, (_, bin) =>
    densityAt(oklab[bin * 3], oklab[bin * 3 + 1], oklab[bin * 3 + 2]),
  );
  return Int32Array.from(density, (_, bin) => bin).sort((a, b) => density[b] - density[a] || a - b);
}

/** Numbers of bins that colours are gathered around: none within `oneColour` of another. */
function seedsOf({ oklab }: ColourBins, order: Int32Array): readonly number[] {
  const near = new NearColours(oneColour);
  const seeds: number[] = [];
  for (const bin of order) {
    if (near.nearest(oklab, bin * 3, oneColour) >= 0) continue;
    near.add(oklab, bin * 3);
    seeds.push(bin);
  }
  return seeds;
}

/** Each bin with its nearest seed. */
function settled(
  { areas, oklab, cells, runs }: ColourBins,
  order: Int32Array,
  seeds: readonly number[],
): Cluster[] {
  const near = new NearColours(oneColour);
  for (const seed of seeds) near.add(oklab, seed * 3);
  const clusters = seeds.map((): Cluster => ({ oklab: new Float64Array(3), area: 0, cell: 0, run: -1 }));
  for (const bin of order) {
    const into = clusters[near.nearest(oklab, bin * 3, oneColour)];
    for (let c = 0; c < 3; c++) into.oklab[c] += oklab[bin * 3 + c] * areas[bin];
    into.area += areas[bin];
    if (runs[bin] <= into.run) continue;
    into.run = runs[bin];
    into.cell = cells[bin];
  }
  for (const { oklab: mean, area } of clusters) for (let c = 0; c < 3; c++) mean[c] /= area;
  return clusters;
}

/**
 * Noise spreads a colour over more than one cluster. What lies at the flank of a larger one, far below its peak and with no valley
 * between them, belongs to it; in a gradient both are as dense.
 */
function withoutFlanks(clusters: readonly Cluster[], { densityAt }: ColourBins): Cluster[] {
  const peaks = clusters.map((cluster) => ({ cluster, density: densityIn(cluster.oklab, densityAt) }));
  peaks.sort((one, other) => other.density - one.density || one.cluster.cell - other.cluster.cell);
  const kept: typeof peaks = [];
  for (const peak of peaks) {
    const above = kept.find(
      (other) => peak.density < flankShare * other.density && isFlank(peak, other.cluster, densityAt),
    );
    if (above === undefined) kept.push(peak);
    else above.cluster = joined(above.cluster, peak.cluster);
  }
  return kept.map(({ cluster }) => cluster);
}

function isFlank(
  { cluster: { oklab }, density }: { readonly cluster: Cluster; readonly density: number },
  peak: Cluster,
  densityAt: ColourBins['densityAt'],
): boolean {
  if (squareApart(oklab, peak.oklab) > flankReach ** 2) return false;
  return [0.25, 0.5, 0.75].every((way) => {
    const between = oklab.map((value, c) => value + (peak.oklab[c] - value) * way);
    return densityIn(between, densityAt) >= density * valleyShare;
  });
}

function densityIn([l, a, b]: Float64Array, densityAt: ColourBins['densityAt']): number {
  return densityAt(l, a, b);
}

/** What is too little to be a colour of the page counts as the nearest that is one, which stays as it is. */
function withoutDust(clusters: readonly Cluster[], area: number): Cluster[] {
  const isDust = (cluster: Cluster) => cluster.area < leastShare * area;
  const kept = clusters.filter((cluster) => !isDust(cluster));
  if (kept.length === 0) return [...clusters];
  const found = kept.map((cluster) => ({ ...cluster }));
  for (const dust of clusters.filter(isDust)) {
    let [nearest, least] = [0, Number.POSITIVE_INFINITY];
    for (const [at, { oklab }] of kept.entries()) {
      const apart = squareApart(oklab, dust.oklab);
      if (apart < least) [nearest, least] = [at, apart];
    }
    found[nearest].area += dust.area;
  }
  return found;
}

function squareApart(one: Float64Array, other: Float64Array): number {
  return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2;
}

/** How much is lost by taking two as one: the squares of all distances to the mean that they then have (Ward 1963). */
export function lossOf(one: Cluster, other: Cluster): number {
  return ((one.area * other.area) / (one.area + other.area)) * squareApart(one.oklab, other.oklab);
}

/** Merges the pair that is least missed until no more are left than asked for. */
export function mergedTo(most: number, all: readonly Cluster[]): Cluster[] {
  const clusters = [...all];
  const partners = clusters.map((_, at) => partnerOf(clusters, at));
  while (clusters.length > most) {
    let best = 0;
    for (let at = 1; at < partners.length; at++) if (partners[at].loss < partners[best].loss) best = at;
    const other = partners[best].at;
    clusters[best] = joined(clusters[best], clusters[other]);
    // The last takes the place of the one that is gone.
    const last = clusters.length - 1;
    clusters[other] = clusters[last];
    clusters.pop();
    partners[other] = partners[last];
    partners.pop();
    for (let at = 0; at < clusters.length; at++) {
      const before = partners[at].at;
      const isStale = before === best || before === other || at === best || at === other;
      if (isStale) partners[at] = partnerOf(clusters, at);
      else {
        if (before === last) partners[at] = { at: other, loss: partners[at].loss };
        const loss = best < clusters.length ? lossOf(clusters[at], clusters[best]) : Number.POSITIVE_INFINITY;
        if (loss < partners[at].loss) partners[at] = { at: best, loss };
      }
    }
  }
  return clusters;
}

function partnerOf(clusters: readonly Cluster[], at: number): { at: number; loss: number } {
  const found = { at: -1, loss: Number.POSITIVE_INFINITY };
  for (let other = 0; other < clusters.length; other++) {
    if (other === at) continue;
    const loss = lossOf(clusters[at], clusters[other]);
    if (loss < found.loss) [found.at, found.loss] = [other, loss];
  }
  return found;
}

function joined(one: Cluster, other: Cluster): Cluster {
  const area = one.area + other.area;
  const oklab = one.oklab.map((value, c) => (value * one.area + other.oklab[c] * other.area) / area);
  const shown = one.run >= other.run ? one : other;
  return { oklab, area, cell: shown.cell, run: shown.run };
}

/** Colours by where they lie, in cubes as wide as what is looked for: the nearest is in one of 27. */
class NearColours {
  private readonly cubes = new Map<number, number[]>();
  private readonly oklab: number[] = [];

  constructor(private readonly reach: number) {}

  add(from: Float64Array, at: number): void {
    const cube = this.cubeOf(from[at], from[at + 1], from[at + 2]);
    const number = this.oklab.push(from[at], from[at + 1], from[at + 2]) / 3 - 1;
    const known = this.cubes.get(cube);
    if (known === undefined) this.cubes.set(cube, [number]);
    else known.push(number);
  }

  /** The number of the nearest within a distance, up to `reach`; -1 where there is none. */
  nearest(from: Float64Array, at: number, within: number): number {
    const [l, a, b] = [from[at], from[at + 1], from[at + 2]];
    let [found, least] = [-1, within * within];
    const middle = this.cubeOf(l, a, b);
    for (const step of cubeSteps) {
      for (const number of this.cubes.get(middle + step) ?? []) {
        const { oklab } = this;
        const to = number * 3;
        const apart = (oklab[to] - l) ** 2 + (oklab[to + 1] - a) ** 2 + (oklab[to + 2] - b) ** 2;
        if (apart < least) [found, least] = [number, apart];
      }
    }
    return found;
  }

  private cubeOf(l: number, a: number, b: number): number {
    const step = (value: number) => Math.floor((value + 1) / this.reach);
    return (step(l) * cubesAside + step(a)) * cubesAside + step(b);
  }
}

/** More cubes than there are along any side. */
const cubesAside = 256;
const cubeSteps = [-1, 0, 1].flatMap((l) =>
  [-1, 0, 1].flatMap((a) => [-1, 0, 1].map((b) => (l * cubesAside + a) * cubesAside + b)),
);
