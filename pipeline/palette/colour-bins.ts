import { oklabOfLight } from './oklab.js';
import { cellKinds, type PageCells } from './page-cells.js';

/**
 * All colours of a page's cells in bins, finer than an eye tells apart: what a page has, without where. First by amounts of light, in
 * which cells are at hand, then by OKLab, of some thousands.
 */
export interface ColourBins {
  /** Area of each, in pixels that were asked. */
  readonly areas: readonly number[];
  /** Its mean colour, interleaved. */
  readonly oklab: Float64Array;
  /** A cell that shows it, within a run of cells that do, as far as there is one. */
  readonly cells: readonly number[];
  /** How long that run is. */
  readonly runs: readonly number[];
  /** Area in and around the bin of a colour: of it and of those that touch it. */
  densityAt(l: number, a: number, b: number): number;
  /** Area of all bins. */
  readonly area: number;
}

/** Side of a bin in OKLab: half of what an eye just tells apart side by side. Own choice. */
const side = 0.01;

/** Bounds of what a screen shows, with room: lightness from 0, a and b from these. */
const [leastA, leastB] = [-0.3, -0.36];
const [stepsOfL, stepsOfA, stepsOfB] = [104, 64, 64];

/** Steps of the root of light, in which they are about even to the eye. */
const lightSteps = 96;

/** An edge's pixel may be a mix of both sides: where there is anything else of a colour, that says what it is. */
const edgeTrust = 1 / 16;

/** @param light of each cell in the three colours of a screen, interleaved */
export function binned({ kinds, weights }: PageCells, light: Float32Array): ColourBins {
  const gathered = new Gathered(lightSteps ** 3);
  const last = { bin: -1, from: 0 };
  for (let n = 0, at = 0; n < kinds.length; n++, at += 3) {
    const kind = kinds[n];
    let bin = -1;
    if (kind !== cellKinds.empty) {
      const code = (lightStep(light[at]) * lightSteps + lightStep(light[at + 1])) * lightSteps;
      bin = gathered.binOf(code + lightStep(light[at + 2]));
      const trust = kind === cellKinds.edge ? edgeTrust : 1;
      gathered.add(bin, weights[n], trust, light[at], light[at + 1], light[at + 2]);
    }
    if (bin === last.bin) continue;
    gathered.endRun(last.bin, last.from, n);
    last.bin = bin;
    last.from = n;
  }
  gathered.endRun(last.bin, last.from, kinds.length);
  return inOklab(gathered);
}

function lightStep(light: number): number {
  return Math.min(lightSteps - 1, (Math.sqrt(light) * lightSteps) | 0);
}

function inOklab(byLight: Gathered): ColourBins {
  const gathered = new Gathered(stepsOfL * stepsOfA * stepsOfB);
  const { areas, trusts, sums, runs, cells } = byLight;
  for (let from = 0; from < areas.length; from++) {
    const trust = trusts[from];
    const [l, a, b] = oklabOfLight(
      sums[from * 3] / trust,
      sums[from * 3 + 1] / trust,
      sums[from * 3 + 2] / trust,
    );
    const bin = gathered.binOf(codeOf(l, a, b));
    gathered.add(bin, areas[from], trust / areas[from], l, a, b);
    gathered.showRun(bin, runs[from], cells[from]);
  }
  return asBins(gathered);
}

function asBins(gathered: Gathered): ColourBins {
  const { areas, cells, runs } = gathered;
  const oklab = Float64Array.from(gathered.sums, (sum, at) => sum / gathered.trusts[Math.floor(at / 3)]);
  const densityAt = (l: number, a: number, b: number) => {
    const code = codeOf(l, a, b);
    let area = 0;
    for (const step of besides) area += areas[gathered.known(code + step)] ?? 0;
    return area;
  };
  return { areas, oklab, cells, runs, densityAt, area: areas.reduce((sum, area) => sum + area, 0) };
}

/** Sums over bins, which have numbers from 0 in the order in which they were met. */
class Gathered {
  readonly areas: number[] = [];
  /** Colours times area and trust, interleaved, and these. */
  readonly sums: number[] = [];
  readonly trusts: number[] = [];
  readonly cells: number[] = [];
  readonly runs: number[] = [];
  /** One more than the bin of each code; 0 for none. */
  private readonly numbers: Int32Array;

  constructor(codes: number) {
    this.numbers = new Int32Array(codes);
  }

  /** The bin of a code; -1 where there is none. */
  known(code: number): number {
    return (this.numbers[code] ?? 0) - 1;
  }

  /** The bin of a code, which is begun where there is none. */
  binOf(code: number): number {
    const known = this.numbers[code];
    if (known > 0) return known - 1;
    const bin = this.areas.push(0) - 1;
    this.sums.push(0, 0, 0);
    this.trusts.push(0);
    this.cells.push(0);
    this.runs.push(0);
    this.numbers[code] = bin + 1;
    return bin;
  }

  add(bin: number, area: number, trust: number, one: number, two: number, three: number): void {
    const { sums } = this;
    const weight = area * trust;
    this.areas[bin] += area;
    this.trusts[bin] += weight;
    sums[bin * 3] += one * weight;
    sums[bin * 3 + 1] += two * weight;
    sums[bin * 3 + 2] += three * weight;
  }

  /** A run of cells from one to before another. */
  endRun(bin: number, from: number, to: number): void {
    if (bin >= 0) this.showRun(bin, to - from, (from + to - 1) >> 1);
  }

  showRun(bin: number, length: number, cell: number): void {
    if (length <= this.runs[bin]) return;
    this.runs[bin] = length;
    this.cells[bin] = cell;
  }
}

function codeOf(l: number, a: number, b: number): number {
  return (
    (stepOf(l, stepsOfL) * stepsOfA + stepOf(a - leastA, stepsOfA)) * stepsOfB + stepOf(b - leastB, stepsOfB)
  );
}

function stepOf(value: number, steps: number): number {
  return Math.max(0, Math.min(steps - 1, Math.floor(value / side)));
}

/** What is added to a bin's code for those around it. */
const besides = [-1, 0, 1].flatMap((l) =>
  [-1, 0, 1].flatMap((a) => [-1, 0, 1].map((b) => (l * stepsOfA + a) * stepsOfB + b)),
);
