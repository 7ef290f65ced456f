import { type Kernels, kernelsOn } from './kernels.js';

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

const nothing = { start: 0, end: 0 };

/** Samples of 8 or of 16 bit. */
type Samples = Uint8Array | Uint16Array;

/**
 * Memory that kernels work in: places for one pass, and a shelf for pictures that stay as long as the page. Each pass is
 * done within one call, and one page at a time is worked on, so that one desk serves a whole process.
 */
class Desk {
  readonly kernels: Kernels;
  private readonly bytes: Uint8Array;
  private readonly start: number;
  private readonly shelfStart: number;
  /** Where the next picture on the shelf goes. */
  private shelfEnd: number;
  /** Where begins what is kept for good, behind the shelf. */
  private keptStart: number;
  /** Whether work is being done that clears the shelf behind it, and the end of what it leaves there. */
  private isTaken = false;
  private leftEnd = 0;
  /** What lies on the shelf and is held no longer. */
  private spare = nothing;

  constructor() {
    const pages = Math.ceil((layoutBytes + shelfBytes) / wasmPageBytes);
    const memory = new WebAssembly.Memory({ initial: pages, maximum: pages });
    const kernels = kernelsOn(memory);
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
    const from = this.spare.start + slack;
    if (from + roomFor(length) <= this.spare.end) {
      this.spare = { start: from + roomFor(length), end: this.spare.end };
      return this.bytes.subarray(from, from + length);
    }
    const place = this.shelfEnd + slack;
    if (place + roomFor(length) > this.keptStart) return new Uint8Array(length);
    this.shelfEnd = place + roomFor(length);
    return this.bytes.subarray(place, place + length);
  }

  /** Holds a picture no longer: whatever is held next may take its place. One at a time is remembered. */
  release(samples: Samples): void {
    if (!this.has(samples)) return;
    const start = samples.byteOffset - slack;
    this.spare = { start, end: start + slack + roomFor(samples.byteLength) };
  }

  /** Where on the shelf the next picture goes. */
  shelfPlace(): number {
    return this.shelfEnd;
  }

  /**
   * Holds what stands on the shelf from a place on, whatever else was held there, beyond the end of the work that `during`
   * does; undefined where there is not so much room.
   */
  holdFrom(place: number, length: number): Uint8Array | undefined {
    const end = place + roomFor(length);
    if (end > this.keptStart) return undefined;
    this.shelfEnd = Math.max(this.shelfEnd, end);
    this.leftEnd = Math.max(this.leftEnd, end);
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
    this.spare = nothing;
  }

  /**
   * Clears the shelf of all that is held while some work is done, for work that needs much and leaves nothing there but what
   * it took by `holdFrom`.
   * @throws Error while other such work is not done: it would lose what it holds
   */
  async during<T>(work: () => Promise<T>): Promise<T> {
    if (this.isTaken) throw new Error('two pages are worked on at one desk');
    const before = this.shelfEnd;
    this.isTaken = true;
    this.leftEnd = before;
    this.spare = nothing;
    try {
      return await work();
    } finally {
      this.isTaken = false;
      this.shelfEnd = this.leftEnd;
      this.spare = nothing;
    }
  }

  /** Whether samples stand where kernels see them. */
  has(samples: Samples): boolean {
    return samples.buffer === this.bytes.buffer;
  }

  /** Where a kernel finds samples: where they are, if that is on the desk, else at a place, to which they are copied. */
  reach(samples: Samples, place: number): number {
    if (this.has(samples)) return samples.byteOffset;
    this.bytes.set(bytesOf(samples), place);
    return place;
  }

  /** Where a kernel may write samples: where they belong, if that is on the desk, else at a place. */
  target(samples: Samples, place: number): number {
    return this.has(samples) ? samples.byteOffset : place;
  }

  /** Brings what stands at an address into `samples`, unless it is there already. */
  take(at: number, samples: Samples): void {
    if (this.has(samples) && samples.byteOffset === at) return;
    bytesOf(samples).set(this.bytes.subarray(at, at + samples.byteLength));
  }

  /** What stands at an address, without copying; holds until the desk is laid anew. */
  look(at: number, length: number): Uint8Array {
    return this.bytes.subarray(at, at + length);
  }
}

function bytesOf(samples: Samples): Uint8Array {
  if (samples instanceof Uint8Array) return samples;
  return new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
}

function roomFor(size: number): number {
  return Math.ceil(size / slack) * slack + slack;
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
 * Makes room for the next page. Call it when nothing works on the last one any more.
 * @param anew takes another desk: where something may still be at work, since the page failed midway, or to give back the
 *   memory that the old one took
 */
export function clearDesk(anew: boolean): void {
  if (anew) current = undefined;
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
