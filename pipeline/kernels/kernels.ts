import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageRoot } from '../../config/package-root.js';

/**
 * The passes over pixels that take most of a page's time are compiled to WebAssembly, where one instruction works on
 * sixteen samples (`assembly/`, written in AssemblyScript; what each function does stands there). They see only memory of
 * their own (kernel-memory.ts). Pixels are brought there in bands that fit into the processor's cache, worked on, and brought
 * back, unless they were allocated there. All parameters are addresses and counts.
 */
export interface Kernels {
  packRows(from: number, to: number, width: number, rows: number, least: number, flip: number): void;
  unpackRows(from: number, row: number, to: number, width: number, rows: number, level: number): void;
  countBits(from: number, bytes: number): number;
  bitsOfBoth(one: number, other: number, bytes: number, to: number): void;
  bitsOfEither(one: number, other: number, bytes: number, to: number): void;
  bitsWithout(one: number, other: number, bytes: number, to: number): void;
  coverageOfHalves(from: number, row: number, to: number, width: number, rows: number): void;
  setRows(bits: number, row: number, samples: number, width: number, rows: number, level: number): void;
  growBits(
    from: number,
    row: number,
    width: number,
    rows: number,
    distance: number,
    flip: number,
    spread: number,
    spreadRow: number,
    to: number,
  ): void;
  thinBits(
    from: number,
    row: number,
    width: number,
    rows: number,
    diameter: number,
    lengths: number,
    flip: number,
    spread: number,
    to: number,
  ): void;
  unfilterRows(
    from: number,
    rowBytes: number,
    rows: number,
    pixelBytes: number,
    above: number,
    to: number,
  ): number;
  invert(from: number, to: number, count: number): void;
  sumOf(from: number, count: number): number;
  mostOfFour(c: number, m: number, y: number, k: number, count: number): number;
  splitFour(from: number, count: number, c: number, m: number, y: number, k: number): void;
  squeeze(from: number, count: number, bytes: number, to: number, starts: number): number;
  repeatRuns(from: number, starts: number, runs: number, to: number): void;
  splitRuns(from: number, starts: number, runs: number, c: number, m: number, y: number, k: number): void;
  mostOfStretches(from: number, count: number, stretch: number, mosts: number): void;
  lookUp(from: number, count: number, axes: number, nodes: number, to: number): void;
  markEdges(
    c: number,
    m: number,
    y: number,
    k: number,
    count: number,
    offset: number,
    least: number,
    leastBlack: number,
    bit: number,
    marks: number,
  ): void;
  joinFour(c: number, m: number, y: number, k: number, count: number, to: number): void;
  overprint(
    cover: number,
    c: number,
    m: number,
    y: number,
    k: number,
    count: number,
    headroom: number,
    shares: number,
  ): number;
  lookAt(
    colour: number,
    cover: number,
    width: number,
    rows: number,
    channels: number,
    sampleBytes: number,
  ): void;
  countStrokes(
    bits: number,
    but: number,
    row: number,
    first: number,
    count: number,
    pageRow: number,
    every: number,
    look: number,
    blackTo: number,
    darkerBy: number,
    counts: number,
  ): void;
  halveAcross(from: number, width: number, rows: number, to: number, weights: number, pairs: number): void;
  halveDown(from: number, row: number, count: number, rows: number, to: number, weights: number): void;
  layOver(ground: number, drawn: number, count: number): void;
  countGrey(from: number, width: number, rows: number, low: number, span: number, counts: number): void;
  differencesOfOne(plane: number, width: number, rows: number, to: number): void;
  differencesOfFour(
    c: number,
    m: number,
    y: number,
    k: number,
    width: number,
    rows: number,
    to: number,
  ): void;
  spreadTile(
    from: number,
    row: number,
    width: number,
    rows: number,
    pixelBytes: number,
    alphas: number,
    to: number,
    toRow: number,
  ): number;
  multiplyTile(under: number, over: number, to: number, samples: number): void;
  screenTile(under: number, over: number, to: number, samples: number): void;
  hardLightTile(under: number, over: number, to: number, samples: number): void;
  darkenTile(under: number, over: number, to: number, samples: number): void;
  lightenTile(under: number, over: number, to: number, samples: number): void;
  differenceTile(under: number, over: number, to: number, samples: number): void;
  layTile(under: number, over: number, shown: number, samples: number): void;
  layOnShut(under: number, over: number, shown: number, pixels: number): void;
  openTile(from: number, to: number, pixels: number): void;
  shutTile(from: number, to: number, pixels: number): number;
  addTile(under: number, over: number, samples: number): void;
  listLine(
    amount: number,
    tile: number,
    width: number,
    rows: number,
    to: number,
    toRow: number,
    list: number,
  ): number;
  listDoubtful(
    doubts: number,
    doubtRow: number,
    most: number,
    marks: number,
    lineMark: number,
    amount: number,
    least: number,
    width: number,
    rows: number,
    list: number,
    sure: number,
  ): number;
  addLine(
    over: number,
    covers: number,
    amount: number,
    marks: number,
    lineMark: number,
    least: number,
    pixels: number,
  ): void;
  isPaper(tile: number, pixels: number): number;
  splitLine(from: number, chroma: number, level: number, paint: number, ink: number, pixels: number): number;
  paperOfShut(
    whole: number,
    beneath: number,
    amount: number,
    marks: number,
    gone: number,
    rows: number,
    to: number,
    toRow: number,
  ): void;
  paperTile(
    whole: number,
    beneath: number,
    amount: number,
    marks: number,
    gone: number,
    width: number,
    rows: number,
    to: number,
    toRow: number,
  ): void;
  tonesOf(from: number, count: number, chroma: number, to: number): void;
  markUnlike(one: number, other: number, width: number, rows: number, pixelBytes: number, to: number): void;
  sweepDown(
    distances: number,
    width: number,
    rows: number,
    hasAbove: number,
    limit: number,
    straight: number,
    diagonal: number,
  ): void;
  sweepUp(
    distances: number,
    width: number,
    rows: number,
    hasBelow: number,
    limit: number,
    straight: number,
    diagonal: number,
  ): void;
  fillRings(
    data: number,
    distances: number,
    width: number,
    rows: number,
    channels: number,
    sampleBytes: number,
    from: number,
    to: number,
    depth: number,
    starts: number,
    list: number,
  ): void;
  wholeThirds(thirds: number, count: number): void;
}

interface CompiledKernels extends Kernels {
  memoryStart(): number;
}

/** The compiled kernels stand in dist/, whether the rest runs from there or, in tests, from source. */
function compile(): WebAssembly.Module {
  const path = join(packageRoot(), 'dist', 'pipeline', 'kernels', 'kernels.wasm');
  return new WebAssembly.Module(readFileSync(path));
}

let compiled: WebAssembly.Module | undefined;

/** The kernels on a memory of their own. */
export function kernelsOn(memory: WebAssembly.Memory): CompiledKernels {
  compiled ??= compile();
  const { exports } = new WebAssembly.Instance(compiled, { env: { memory, abort: fail } });
  return exports as unknown as CompiledKernels;
}

function fail(): never {
  throw new Error('a kernel gave up');
}
