import { promisify } from 'node:util';
import { deflate } from 'node:zlib';
import { desk } from '../kernels/desk.js';

/**
 * Packs planes into the strips of a TIFF: interleaved, horizontal differences, deflate, on several cores.
 *
 * Why not through the image library: it writes no ICC profile without transforming the numbers, and no plate with
 * 0 as white. It is slower as well. Measured on 2 cores with drawn flats, gradients, glows and grain, 4350 x 6300 CMYK
 * (wall / CPU / size): these strips at level 1 0.29 s / 0.49 s / 16.1 MB, level 2 0.31 / 0.51 / 15.6, level 6
 * 0.82 / 1.28 / 13.8; sharp with LZW 0.88 / 0.87 / 15.6, with deflate 1.03 / 1.00 / 13.7.
 */

const packStrip = promisify(deflate);

/** zlib's quickest level; see the figures above. */
const deflateLevel = 1;
/** Room for a packed strip in one piece, so that zlib does not stitch small ones together. */
const deflateChunkBytes = 256 * 1024;
/** Large enough that a strip costs little to start, small enough that few are in memory at once. */
const stripBytes = 1024 * 1024;
/** Strips packed at once: libuv runs four of them beside each other unless told otherwise. */
const stripsAtOnce = 4;

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
 */
export async function packStrips(picture: Planes): Promise<Buffer[]> {
  const rows = rowsPerStrip(picture);
  const strips: Buffer[] = [];
  const packing: Promise<Buffer>[] = [];
  const options = { level: deflateLevel, chunkSize: deflateChunkBytes };
  // As many rooms as strips are packed at once, used in turn: fresh memory for each strip costs more than filling it.
  const length = rows * picture.width * picture.planes.length;
  const rooms = Array.from({ length: stripsAtOnce }, () => new Uint8Array(length));
  for (let y = 0, turn = 0; y < picture.height; y += rows, turn++) {
    const strip = differences(picture, y, Math.min(rows, picture.height - y), rooms[turn % stripsAtOnce]);
    packing.push(packStrip(strip, options));
    if (packing.length < stripsAtOnce) continue;
    const oldest = packing.shift();
    if (oldest !== undefined) strips.push(await oldest);
  }
  for (const rest of packing) strips.push(await rest);
  return strips;
}

/** Rows of one strip, interleaved, each sample less its left neighbour of the same ink (TIFF 6.0, section 14). */
function differences(
  { width, planes }: Planes,
  firstRow: number,
  rows: number,
  room: Uint8Array,
): Uint8Array {
  const { kernels } = desk();
  const samples = rows * width;
  const strip = room.subarray(0, samples * planes.length);
  const [to, ...inks] = desk().lay(strip.length, ...planes.map(() => samples));
  for (const [i, plane] of planes.entries()) {
    desk().put(inks[i], plane.subarray(firstRow * width, firstRow * width + samples));
  }
  if (planes.length === 1) kernels.differencesOfOne(inks[0], width, rows, to);
  else kernels.differencesOfFour(inks[0], inks[1], inks[2], inks[3], width, rows, to);
  desk().take(to, strip);
  return strip;
}
