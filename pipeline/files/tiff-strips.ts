import { promisify } from 'node:util';
import { constants, createDeflate, deflate } from 'node:zlib';
import PQueue from 'p-queue';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';

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

/** Rows of one strip: what `packStrips` packs together. */
export function rowsPerStrip({ width, planes }: Planes): number {
  return Math.max(1, Math.floor(stripBytes / (width * planes.length)));
}

/**
 * Takes the differences of every strip and packs it, a few at a time, kept in order. The same planes give the same
 * bytes on every run of the same Node.js; another zlib may pack the same pixels differently.
 * @param arena where strips are made ready, in memory that stays pinned for the next files
 */
export async function packStrips(picture: Planes, arena: PageArena): Promise<Buffer[]> {
  const rows = rowsPerStrip(picture);
  const strips: Promise<Buffer>[] = [];
  for (let y = 0; y < picture.height; y += rows) {
    const last = Math.min(rows, picture.height - y);
    strips.push(packing.add(() => packStrip(picture, y, last, arena)));
  }
  return Promise.all(strips);
}

async function packStrip(picture: Planes, firstRow: number, rows: number, arena: PageArena): Promise<Buffer> {
  const length = rows * picture.width * picture.planes.length;
  if (length > stripBytes || length < windowsBytes) {
    // A single row that is longer than a strip should be, or what a used compressor would not always pack alike.
    const strip = differences(picture, firstRow, rows, new Uint8Array(length), arena);
    return packedAlone(strip, { level: deflateLevel });
  }
  const packer = idlePackers.pop() ?? new StripPacker();
  const packed = await packer.pack(differences(picture, firstRow, rows, packer.stripIn(arena), arena));
  idlePackers.push(packer);
  return packed;
}

const packedAlone = promisify(deflate);

/**
 * Memory for a strip and a compressor, used for one strip after the other. A compressor of its own for each strip makes
 * the same bytes of a strip that fills its windows, and so much garbage that cleaning up takes a tenth of a page's time at 600 ppi.
 */
class StripPacker {
  /** Memory for a strip in each arena; none of it outlives its arena. */
  private readonly strips = new WeakMap<PageArena, Uint8Array>();
  // What comes out waits in the stream until it is taken as a whole; a strip that packs badly comes out a little longer.
  private readonly compressor = createDeflate({
    level: deflateLevel,
    chunkSize: stripBytes,
    readableHighWaterMark: 2 * stripBytes,
  } as Parameters<typeof createDeflate>[0]);

  stripIn(arena: PageArena): Uint8Array {
    const strip = this.strips.get(arena) ?? arena.pin(stripBytes);
    this.strips.set(arena, strip);
    return strip;
  }

  pack(strip: Uint8Array): Promise<Buffer> {
    const { compressor } = this;
    return new Promise((resolve, reject) => {
      compressor.once('error', reject);
      compressor.write(strip);
      compressor.flush(constants.Z_FINISH, () => {
        compressor.off('error', reject);
        const packed = compressor.read() as Buffer;
        compressor.reset();
        resolve(packed);
      });
    });
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
