import { constants, createDeflate } from 'node:zlib';
import PQueue from 'p-queue';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { FlushedStream } from './joined-deflate.js';

/**
 * Packs planes into the strips of a TIFF: interleaved, horizontal differences, deflate, on several cores.
 *
 * Why not through the image library: it writes no ICC profile without transforming the numbers, and no plate with
 * 0 as white. It is slower as well. Measured on 2 cores with drawn flats, gradients, glows and grain, 4350 x 6300 CMYK
 * (wall / CPU / size): these strips at level 1 0.29 s / 0.49 s / 16.1 MB, level 2 0.31 / 0.51 / 15.6, level 6
 * 0.82 / 1.28 / 13.8; sharp with LZW 0.88 / 0.87 / 15.6, with deflate 1.03 / 1.00 / 13.7.
 */

/** zlib's quickest level; see the figures above. */
const deflateLevel = 1;
/** Large enough that a strip costs little to start, small enough that few are in memory at once. */
const stripBytes = 1024 * 1024;
/**
 * Both windows of deflate (RFC 1951: 32 KB each). A compressor that was used before looks at what is left there beyond the end
 * of a shorter strip, and may then choose other matches: the same pixels in other bytes. Measured with Node.js 20: 50 of 200
 * planes of 8640 bytes, 4 of 200 of 64000, none of 65792 and more.
 */
const windowsBytes = 64 * 1024;
/** Strips in hand at once: libuv packs four beside each other unless told otherwise, and one more is made ready meanwhile. */
const stripsAtOnce = 5;

/** Packs the strips of all files, whichever they belong to. */
const packing = new PQueue({ concurrency: stripsAtOnce });

const idlePackers: StripPacker[] = [];

/** One plane or four (C, M, Y, K), each width x height x 1 of 8 bit. */
export interface Planes {
  readonly width: number;
  readonly height: number;
  readonly planes: readonly [Uint8Array] | readonly [Uint8Array, Uint8Array, Uint8Array, Uint8Array];
}

/** Rows of one strip: what is packed together. */
function rowsPerStrip({ width, planes }: Planes): number {
  return Math.max(1, Math.floor(stripBytes / (width * planes.length)));
}

/**
 * The strips of a picture, each packed when it is first asked for, and once: products that hold the same rows share them.
 * The same planes give the same bytes on every run of the same Node.js; another zlib may pack the same pixels differently.
 */
export class PackedStrips {
  /** Rows of each strip but the last, which may be shorter. */
  readonly rows: number;
  readonly count: number;
  private readonly packed: Promise<Buffer>[] = [];

  /** @param arena where strips are made ready, in memory that stays pinned for the next files */
  constructor(
    readonly picture: Planes,
    private readonly arena: PageArena,
  ) {
    this.rows = rowsPerStrip(picture);
    this.count = Math.ceil(picture.height / this.rows);
  }

  /** One strip: differences, packed as a zlib stream that can be joined to others (joined-deflate.ts). */
  at(strip: number): Promise<Buffer> {
    this.packed[strip] ??= packing.add(() => {
      return packStrip(this.picture, strip * this.rows, this.rowsOf(strip), this.arena);
    });
    return this.packed[strip];
  }

  /** All of them in order, a few in hand at a time. */
  all(): Promise<Buffer[]> {
    return Promise.all(Array.from({ length: this.count }, (_, strip) => this.at(strip)));
  }

  /**
   * All of them, to be joined to one stream.
   * @param from whose strip is taken in the place of the own one, with the same content; default the own
   */
  streams(from: (strip: number) => PackedStrips = () => this): Promise<FlushedStream[]> {
    const strips = Array.from({ length: this.count }, async (_, strip) => {
      return { packed: await from(strip).at(strip), bytes: this.bytesOf(strip) };
    });
    return Promise.all(strips);
  }

  /** Rows of one strip. */
  rowsOf(strip: number): number {
    return Math.min(this.rows, this.picture.height - strip * this.rows);
  }

  /** Bytes of one strip before it is packed. */
  bytesOf(strip: number): number {
    return this.rowsOf(strip) * this.picture.width * this.picture.planes.length;
  }
}

async function packStrip(picture: Planes, firstRow: number, rows: number, arena: PageArena): Promise<Buffer> {
  const length = rows * picture.width * picture.planes.length;
  if (length > stripBytes || length < windowsBytes) {
    // A single row that is longer than a strip should be, or what a used compressor would not always pack alike.
    const strip = differences(picture, firstRow, rows, new Uint8Array(length), arena);
    const packer = new StripPacker(length);
    return packer.pack(strip).finally(() => packer.close());
  }
  const packer = idlePackers.pop() ?? new StripPacker(stripBytes);
  const packed = await packer.pack(differences(picture, firstRow, rows, packer.stripIn(arena), arena));
  idlePackers.push(packer);
  return packed;
}

/** The least room that a compressor takes for what comes out. */
const leastChunkBytes = 1024;

/**
 * Memory for a strip and a compressor, used for one strip after the other. A compressor of its own for each strip makes
 * the same bytes of a strip that fills its windows, and so much garbage that cleaning up takes a tenth of a page's time at 600 ppi.
 */
class StripPacker {
  /** Memory for a strip in each arena; none of it outlives its arena. */
  private readonly strips = new WeakMap<PageArena, Uint8Array>();
  private readonly compressor: ReturnType<typeof createDeflate>;

  /** @param length bytes of the longest strip */
  constructor(private readonly length: number) {
    // What comes out waits in the stream until it is taken as a whole; a strip that packs badly comes out a little longer.
    const chunkSize = Math.max(leastChunkBytes, length);
    this.compressor = createDeflate({
      level: deflateLevel,
      chunkSize,
      readableHighWaterMark: 2 * chunkSize,
    } as Parameters<typeof createDeflate>[0]);
  }

  stripIn(arena: PageArena): Uint8Array {
    const strip = this.strips.get(arena) ?? arena.pin(this.length);
    this.strips.set(arena, strip);
    return strip;
  }

  pack(strip: Uint8Array): Promise<Buffer> {
    const { compressor } = this;
    return new Promise((resolve, reject) => {
      compressor.once('error', reject);
      compressor.write(strip);
      // The flush ends the packed rows on a whole byte, so that they can be joined to others; the end follows it.
      compressor.flush(constants.Z_FULL_FLUSH);
      compressor.flush(constants.Z_FINISH, () => {
        compressor.off('error', reject);
        const packed = compressor.read() as Buffer;
        compressor.reset();
        resolve(packed);
      });
    });
  }

  /** Gives the compressor's memory back. */
  close(): void {
    this.compressor.close();
  }
}

/** Rows of one strip, interleaved, each sample less its left neighbour of the same ink (TIFF 6.0, section 14). */
function differences(
  { width, planes }: Planes,
  firstRow: number,
  rows: number,
  into: Uint8Array,
  memory: KernelMemory,
): Uint8Array {
  const samples = rows * width;
  const strip = into.subarray(0, samples * planes.length);
  const [place, ...places] = memory.scratch(strip.length, ...planes.map(() => samples));
  const to = memory.writableAddress(strip, place);
  const [c, m, y, k] = planes.map((plane, i) =>
    memory.addressOf(plane.subarray(firstRow * width, firstRow * width + samples), places[i]),
  );
  if (planes.length === 1) memory.kernels.differencesOfOne(c, width, rows, to);
  else memory.kernels.differencesOfFour(c, m, y, k, width, rows, to);
  memory.store(to, strip);
  return strip;
}
