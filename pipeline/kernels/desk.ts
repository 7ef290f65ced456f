import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageRoot } from '../../config/package-root.js';

/**
 * The passes over pixels that take most of a page's time are compiled to WebAssembly, where one instruction works on
 * sixteen samples (`assembly/`, written in AssemblyScript; what each function does stands there). They see only memory of
 * their own: the desk. Pixels are put on it in bands that fit into the processor's cache, worked on, and taken off again.
 * Everything here is done within one call, so that one desk serves a whole process.
 */
export interface Kernels {
  packRows(from: number, to: number, width: number, rows: number, least: number, flip: number): void;
  unpackRows(from: number, row: number, to: number, width: number, rows: number, level: number): void;
  countBits(from: number, bytes: number): number;
  coverageOfHalves(from: number, row: number, to: number, width: number, rows: number): void;
  raiseRows(bits: number, row: number, samples: number, width: number, rows: number, level: number): void;
  growBits(
    from: number,
    row: number,
    width: number,
    rows: number,
    distance: number,
    flip: number,
    room: number,
    roomRow: number,
    to: number,
  ): void;
  invert(from: number, to: number, count: number): void;
  sumOf(from: number, count: number): number;
  mostOfFour(c: number, m: number, y: number, k: number, count: number): number;
  partFour(from: number, count: number, c: number, m: number, y: number, k: number): void;
  squeeze(from: number, count: number, bytes: number, to: number, starts: number): number;
  repeatRuns(from: number, starts: number, runs: number, to: number): void;
  partRuns(from: number, starts: number, runs: number, c: number, m: number, y: number, k: number): void;
  mostOfStretches(from: number, count: number, stretch: number, mosts: number): void;
  lookUp(from: number, count: number, axes: number, nodes: number, to: number): void;
  joinFour(c: number, m: number, y: number, k: number, count: number, to: number): void;
  overprint(
    cover: number,
    c: number,
    m: number,
    y: number,
    k: number,
    count: number,
    room: number,
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
}

interface CompiledKernels extends Kernels {
  deskStart(): number;
}

/** Room before and behind everything on the desk, in bytes: kernels look and write that far beyond what they are given. */
const slack = 64;

const wasmPageBytes = 65536;

/** What is laid out for one pass; the most are the two tables of the absolute intent, 15 MB. */
const layoutBytes = 16 * 2 ** 20;

/**
 * What pictures that stay for a whole page may take: the planes of a page at 600 ppi. What finds no room stands in memory of
 * its own and is copied band by band. Nothing is taken from the system before it is used.
 */
const shelfBytes = 400 * 2 ** 20;

/** The compiled kernels stand in dist/, whether the rest runs from there or, in tests, from source. */
function compile(): WebAssembly.Module {
  const path = join(packageRoot(), 'dist', 'pipeline', 'kernels', 'kernels.wasm');
  return new WebAssembly.Module(readFileSync(path));
}

let compiled: WebAssembly.Module | undefined;

/** Memory that kernels work in: places for one pass, and a shelf for pictures that stay as long as the page. */
class Desk {
  readonly kernels: Kernels;
  private readonly bytes: Uint8Array;
  private readonly start: number;
  private readonly shelfStart: number;
  /** Where the next picture on the shelf goes. */
  private shelfEnd: number;
  /** Where begins what is kept for good, behind the shelf. */
  private keptStart: number;

  constructor() {
    const pages = Math.ceil((layoutBytes + shelfBytes) / wasmPageBytes);
    const memory = new WebAssembly.Memory({ initial: pages, maximum: pages });
    compiled ??= compile();
    const { exports } = new WebAssembly.Instance(compiled, { env: { memory, abort: fail } });
    const kernels = exports as unknown as CompiledKernels;
    this.kernels = kernels;
    this.bytes = new Uint8Array(memory.buffer);
    this.start = kernels.deskStart();
    this.shelfStart = this.start + layoutBytes;
    this.shelfEnd = this.shelfStart;
    this.keptStart = this.bytes.length;
  }

  /**
   * Parts the desk anew for one pass: addresses of as many places, each of at least so many bytes. What was laid out
   * before is gone.
   */
  lay(...sizes: number[]): number[] {
    let end = this.start;
    const places = sizes.map((size) => {
      const place = end + slack;
      end = place + roomFor(size);
      return place;
    });
    if (end > this.shelfStart) throw new RangeError(`${end - this.start} bytes do not fit onto the desk`);
    return places;
  }

  /**
   * Memory for samples that stay until the page ends: on the shelf, where kernels reach them without copying, or apart
   * if there is no room. It holds whatever was there before.
   */
  hold(length: number): Uint8Array {
    const place = this.shelfEnd + slack;
    if (place + roomFor(length) > this.keptStart) return new Uint8Array(length);
    this.shelfEnd = place + roomFor(length);
    return this.bytes.subarray(place, place + length);
  }

  /** As `hold`, for as long as the process lives. */
  keep(length: number): Uint8Array {
    const place = this.keptStart - roomFor(length);
    if (place < this.shelfEnd + slack) return new Uint8Array(length);
    this.keptStart = place;
    return this.bytes.subarray(place, place + length);
  }

  /** Clears the shelf. Nobody may use what was on it any more. */
  clear(): void {
    this.shelfEnd = this.shelfStart;
  }

  /** Where a kernel finds samples: where they are, if that is on the desk, else at a place, to which they are copied. */
  reach(samples: Uint8Array, place: number): number {
    if (samples.buffer === this.bytes.buffer) return samples.byteOffset;
    this.bytes.set(samples, place);
    return place;
  }

  /** Where a kernel may write samples: where they belong, if that is on the desk, else at a place. */
  target(samples: Uint8Array, place: number): number {
    return samples.buffer === this.bytes.buffer ? samples.byteOffset : place;
  }

  /** Brings what stands at an address into `samples`, unless it is there already. */
  take(at: number, samples: Uint8Array): void {
    if (samples.buffer === this.bytes.buffer && samples.byteOffset === at) return;
    samples.set(this.bytes.subarray(at, at + samples.length));
  }

  /** What stands at an address, without copying; holds until the desk is laid anew. */
  look(at: number, length: number): Uint8Array {
    return this.bytes.subarray(at, at + length);
  }
}

function roomFor(size: number): number {
  return Math.ceil(size / slack) * slack + slack;
}

function fail(): never {
  throw new Error('a kernel gave up');
}

let current: Desk | undefined;

/** The desk of this process. */
export function desk(): Desk {
  current ??= new Desk();
  return current;
}

/** Memory for bytes that stay until the page ends; see `Desk.hold`. */
export function bytesOnShelf(length: number): Buffer {
  const { buffer, byteOffset } = desk().hold(length);
  return Buffer.from(buffer, byteOffset, length);
}

/**
 * Makes room for the next page. Call it when nothing works on the last one any more; where something might, since the
 * page failed midway, `abandoned` leaves the old desk to it and takes a new one.
 */
export function clearDesk(abandoned: boolean): void {
  if (abandoned) current = undefined;
  else current?.clear();
}

/** Pixels worked on at a time: enough that a call costs nothing beside them. A multiple of every vector's length. */
export const bandPixels = 1 << 17;

/** As many as stay in the processor's cache with all that is made of them, and as 16 bit can count. */
export const smallBandPixels = 1 << 15;

/** Calls `work` for one band after the other of so many pixels. */
export function inBands(
  pixels: number,
  work: (start: number, count: number) => void,
  most: number = bandPixels,
): void {
  for (let start = 0; start < pixels; start += most) work(start, Math.min(most, pixels - start));
}

/**
 * Whether it pays to look up one pixel of each run of one colour only: where no more than three quarters of the pixels
 * begin a run. Finding the runs costs some 2 ns a pixel, looking one up 5 to 8.
 */
export function isWorthwhile(runs: number, pixels: number): boolean {
  return runs <= pixels * 0.75;
}
