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
  partFour(from: number, count: number, c: number, m: number, y: number, k: number): number;
  partThree(from: number, count: number, a: number, b: number, c: number): void;
  joinThree(a: number, b: number, c: number, count: number, to: number): void;
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
  readonly memory: WebAssembly.Memory;
  deskStart(): number;
}

/** Room before and behind everything on the desk, in bytes: kernels look and write that far beyond what they are given. */
const slack = 64;

const wasmPageBytes = 65536;

/** The compiled kernels stand in dist/, whether the rest runs from there or, in tests, from source. */
function compile(): CompiledKernels {
  const path = join(packageRoot(), 'dist', 'pipeline', 'kernels', 'kernels.wasm');
  const compiled = new WebAssembly.Module(readFileSync(path));
  const instance = new WebAssembly.Instance(compiled, { env: { abort: fail } });
  return instance.exports as unknown as CompiledKernels;
}

function fail(): never {
  throw new Error('a kernel gave up');
}

/** Memory that kernels work in. */
class Desk {
  readonly kernels: Kernels;
  private readonly memory: WebAssembly.Memory;
  private readonly start: number;
  private bytes: Uint8Array;

  constructor() {
    const compiled = compile();
    this.kernels = compiled;
    this.memory = compiled.memory;
    this.start = compiled.deskStart();
    this.bytes = new Uint8Array(this.memory.buffer);
  }

  /** Clears the desk and parts it: addresses of as many places, each of at least so many bytes. */
  lay(...sizes: number[]): number[] {
    let end = this.start;
    const places = sizes.map((size) => {
      const place = end + slack;
      end = place + Math.ceil(size / slack) * slack + slack;
      return place;
    });
    if (end > this.bytes.length) {
      this.memory.grow(Math.ceil((end - this.bytes.length) / wasmPageBytes));
      this.bytes = new Uint8Array(this.memory.buffer);
    }
    return places;
  }

  /** Copies samples to a place, and zeros behind them, so that sums and maxima over whole vectors are not disturbed. */
  put(place: number, samples: Uint8Array): void {
    this.bytes.set(samples, place);
    const end = place + samples.length;
    this.bytes.fill(0, end, end + slack);
  }

  /** Copies from a place into all of `into`. */
  take(place: number, into: Uint8Array): void {
    into.set(this.bytes.subarray(place, place + into.length));
  }

  /** What lies at a place, without copying; holds until the desk is laid anew. */
  look(place: number, length: number): Uint8Array {
    return this.bytes.subarray(place, place + length);
  }
}

let kept: Desk | undefined;

/** The desk of this process. */
export function desk(): Desk {
  kept ??= new Desk();
  return kept;
}

/** Pixels worked on at a time: a few planes of them stay in the processor's cache. */
export const bandPixels = 1 << 15;

/** Calls `work` for one band after the other of so many pixels. */
export function inBands(pixels: number, work: (start: number, count: number) => void): void {
  for (let start = 0; start < pixels; start += bandPixels) {
    work(start, Math.min(bandPixels, pixels - start));
  }
}
