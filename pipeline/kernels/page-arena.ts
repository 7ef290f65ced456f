import { KernelMemory, type Samples, slackBytes, withSlack } from './kernel-memory.js';

/**
 * What pictures that stay for a whole page may take: the planes of a page at 600 ppi. What does not fit stands in memory of
 * its own and is copied band by band.
 */
const allocatedBytes = 400 * 2 ** 20;

/** What the engine can be told to give back to the system. Whoever makes an arena says how; see runner/reclaim.ts. */
export interface Reclaim {
  /** A decoded picture is not held any more, and the next one is about to be decoded. */
  readonly decoded: () => Promise<void>;
  /** Pictures of so many bytes are not held any more. */
  readonly pictures: (bytes: number) => Promise<void>;
}

const leftToTheEngine: Reclaim = { decoded: async () => {}, pictures: async () => {} };

const nothing = { start: 0, end: 0 };

/**
 * The memory of one page after the other. Whoever runs pages makes one and hands it to every stage; one page at a time is worked
 * on in it. What a stage allocates lives until the scope ends that it was allocated in, or until the next `reset`.
 */
export class PageArena extends KernelMemory {
  /** Where the next allocation goes. */
  private end: number;
  /** Where begins what is pinned, behind all allocations. */
  private pinnedStart: number;
  /** Whether a scope is open, and the end of what outlives it. */
  private isInScope = false;
  private outliving = 0;
  /** What was allocated and is free again. */
  private spare = nothing;

  /** @param reclaim called where pictures have been dropped; by default clean-up is left to the engine */
  constructor(readonly reclaim: Reclaim = leftToTheEngine) {
    super(allocatedBytes);
    this.end = this.scratchEnd;
    this.pinnedStart = this.bytes.length;
  }

  /**
   * Memory for samples, where kernels reach them without copying, or apart where none is left. It has whatever was there before
   * in it.
   */
  allocate(length: number): Uint8Array {
    const from = this.spare.start + slackBytes;
    if (from + withSlack(length) <= this.spare.end) {
      this.spare = { start: from + withSlack(length), end: this.spare.end };
      return this.bytes.subarray(from, from + length);
    }
    const place = this.end + slackBytes;
    if (place + withSlack(length) > this.pinnedStart) return new Uint8Array(length);
    this.end = place + withSlack(length);
    return this.bytes.subarray(place, place + length);
  }

  /** As `allocate`, for what is read from files. */
  allocateBuffer(length: number): Buffer {
    const { buffer, byteOffset } = this.allocate(length);
    return Buffer.from(buffer, byteOffset, length);
  }

  /** Frees what was allocated: whatever is allocated next may take its place. One place is remembered, with what lies beside it. */
  free(samples: Samples): void {
    if (!this.has(samples)) return;
    const start = samples.byteOffset - slackBytes;
    const end = samples.byteOffset + withSlack(samples.byteLength);
    const isBeside = start <= this.spare.end && end >= this.spare.start;
    this.spare = isBeside
      ? { start: Math.min(start, this.spare.start), end: Math.max(end, this.spare.end) }
      : { start, end };
  }

  /** Where the next allocation begins, for `outlive`. */
  nextAddress(): number {
    return this.end;
  }

  /**
   * Memory from an address on, whatever else was allocated there, that outlives the scope; undefined where there is not so
   * much. Only what was allocated within the scope may be written over.
   */
  outlive(address: number, length: number): Uint8Array | undefined {
    const end = address + withSlack(length);
    if (end > this.pinnedStart) return undefined;
    this.end = Math.max(this.end, end);
    this.outliving = Math.max(this.outliving, end);
    return this.bytes.subarray(address, address + length);
  }

  /** What was allocated within the scope outlives it, with all that was allocated before. */
  keep(samples: Samples): void {
    if (this.has(samples)) {
      this.outliving = Math.max(this.outliving, samples.byteOffset + withSlack(samples.byteLength));
    }
  }

  /** As `allocate`, for as long as the arena lives. */
  pin(length: number): Uint8Array {
    const place = this.pinnedStart - withSlack(length);
    if (place < this.end + slackBytes) return new Uint8Array(length);
    this.pinnedStart = place;
    return this.bytes.subarray(place, place + length);
  }

  /** Frees all that was allocated, for the next page. Call it when nothing works on the last one any more. */
  reset(): void {
    this.end = this.scratchEnd;
    this.spare = nothing;
  }

  /**
   * Frees what some work allocates as soon as it has been done: its own tables, of which nothing is handed on. It may stand within
   * a scope, and one such piece of work within another.
   */
  borrow<T>(work: () => T): T {
    const { end, spare } = this;
    this.spare = nothing;
    try {
      return work();
    } finally {
      this.end = end;
      this.spare = spare;
    }
  }

  /**
   * Frees what some work allocates when it is done, for work that needs much and leaves nothing but what it took by `outlive`.
   * @throws Error while another scope is open: it would lose what it allocated
   */
  async scope<T>(work: () => Promise<T>): Promise<T> {
    if (this.isInScope) throw new Error('two pages are worked on in one arena');
    const before = this.end;
    this.isInScope = true;
    this.outliving = before;
    this.spare = nothing;
    try {
      return await work();
    } finally {
      this.isInScope = false;
      this.end = this.outliving;
      this.spare = nothing;
    }
  }
}
