import { type Kernels, kernelsOn } from './kernels.js';

/** Bytes before and behind everything in this memory: kernels read and write that far beyond what they are given. */
export const slackBytes = 64;

const wasmPageBytes = 65536;

/** What is laid out for one pass; the most are the two tables of the absolute intent, 15 MB. */
const scratchBytes = 16 * 2 ** 20;

/** Samples of 8 or of 16 bit. */
export type Samples = Uint8Array | Uint16Array;

/**
 * Memory that kernels work in, as far as one pass over pixels needs it: scratch, to which samples are copied band by band, and
 * addresses. A function that takes this much leaves nothing behind; one that returns samples in it takes a `PageArena`.
 * Each pass is done within one call, so that one scratch serves all of them.
 */
export class KernelMemory {
  readonly kernels: Kernels;
  protected readonly bytes: Uint8Array;
  /** Where the scratch ends. */
  protected readonly scratchEnd: number;
  private readonly start: number;

  /** @param furtherBytes memory behind the scratch. Nothing is taken from the system before it is used. */
  protected constructor(furtherBytes: number) {
    const pages = Math.ceil((scratchBytes + furtherBytes) / wasmPageBytes);
    const memory = new WebAssembly.Memory({ initial: pages, maximum: pages });
    const kernels = kernelsOn(memory);
    this.kernels = kernels;
    this.bytes = new Uint8Array(memory.buffer);
    this.start = kernels.memoryStart();
    this.scratchEnd = this.start + scratchBytes;
  }

  /**
   * Lays the scratch out for one pass: addresses of as many places, each of at least so many bytes. What was there for the pass
   * before is gone.
   * @throws RangeError where they do not fit, 16 MB
   */
  scratch(...sizes: number[]): number[] {
    let end = this.start;
    const places = sizes.map((size) => {
      const place = end + slackBytes;
      end = place + withSlack(size);
      return place;
    });
    if (end > this.scratchEnd) throw new RangeError(`${end - this.start} bytes do not fit into the scratch`);
    return places;
  }

  /** Whether samples stand in this memory, where kernels reach them without copying. */
  has(samples: Samples): boolean {
    return samples.buffer === this.bytes.buffer;
  }

  /** Where a kernel finds samples: their own address, if they stand in this memory, else a place, to which they are copied. */
  addressOf(samples: Samples, place: number): number {
    if (this.has(samples)) return samples.byteOffset;
    this.bytes.set(bytesOf(samples), place);
    return place;
  }

  /** Where a kernel may write samples: their own address, if they stand in this memory, else a place; see `store`. */
  writableAddress(samples: Samples, place: number): number {
    return this.has(samples) ? samples.byteOffset : place;
  }

  /** Brings what stands at an address into `samples`, unless it is there already. */
  store(at: number, samples: Samples): void {
    if (this.has(samples) && samples.byteOffset === at) return;
    bytesOf(samples).set(this.bytes.subarray(at, at + samples.byteLength));
  }

  /** What stands at an address, without copying; holds until the scratch is laid out anew. */
  view(at: number, length: number): Uint8Array {
    return this.bytes.subarray(at, at + length);
  }
}

function bytesOf(samples: Samples): Uint8Array {
  if (samples instanceof Uint8Array) return samples;
  return new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
}

/** The bytes that something of a size takes, with what has to follow it. */
export function withSlack(size: number): number {
  return Math.ceil(size / slackBytes) * slackBytes + slackBytes;
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
