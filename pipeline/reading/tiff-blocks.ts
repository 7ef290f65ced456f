import { PlatehandError } from '../../config/errors.js';
import { counted, figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import { cutShort, damaged, unsupported } from './byte-source.js';
import { defaultReadLimits, type ReadLimits } from './read-limits.js';
import { type Tiff, tiffNumber, tiffNumbers, tiffTag } from './tiff-directory.js';
import type { TiffPicture } from './tiff-picture.js';
import { hasZeroRun, zeroTail } from './zero-stretch.js';

/** Strips or tiles: where each stands in the file. Plane after plane when planar. */
export interface TiffBlocks {
  readonly offsets: readonly number[];
  readonly byteCounts: readonly number[];
  /** Pixels across and down one block; the last strip may hold fewer rows. */
  readonly width: number;
  readonly height: number;
}

/** Compression 5 of TIFF 6.0. */
const lzw = 5;

/** No LZW or PackBits coder writes that many zero bytes in a row, and their decoders take them for pixels. */
const impossibleRun = 1024;

/** A zero tail of more than this share of the data is no accident. */
const emptyTailShare = 1 / 8;

/**
 * Reads the places of all strips or tiles and makes sure that they are there, whole and inside the file. A block that
 * is absent would otherwise come out as black, without a word.
 * @throws PlatehandError `picture-unreadable`, `picture-unsupported` for old-style LZW, `picture-too-large` for tiles far beyond the picture
 */
export async function tiffBlocks(
  tiff: Tiff,
  picture: TiffPicture,
  limits: ReadLimits = defaultReadLimits,
): Promise<TiffBlocks> {
  const { directory, tiled, height } = picture;
  const name = tiff.source.name;
  const blockWidth = tiled ? await tiffNumber(tiff, directory, tiffTag.tileWidth, 0) : picture.width;
  const blockHeight = tiled
    ? await tiffNumber(tiff, directory, tiffTag.tileLength, 0)
    : Math.min(height, await tiffNumber(tiff, directory, tiffTag.rowsPerStrip, height));
  if (!(blockWidth > 0 && blockHeight > 0)) throw damaged(name, 'its strips or tiles have no size');
  if (tiled) checkTiles(name, picture, { width: blockWidth, height: blockHeight }, limits);
  const planes = picture.planar ? picture.samplesPerPixel : 1;
  const expected = Math.ceil(picture.width / blockWidth) * Math.ceil(height / blockHeight) * planes;
  const offsetTag = tiled ? tiffTag.tileOffsets : tiffTag.stripOffsets;
  const countTag = tiled ? tiffTag.tileByteCounts : tiffTag.stripByteCounts;
  const offsets = (await tiffNumbers(tiff, directory, offsetTag)) ?? [];
  const stated = await tiffNumbers(tiff, directory, countTag);
  const layout = { width: blockWidth, height: blockHeight };
  // Old writers leave the byte counts out of files with one plain strip (TIFF 6.0 makes them compulsory).
  const byteCounts = stated ?? (expected === 1 ? [plainBytes(picture, layout, 0) ?? 1] : []);
  if (offsets.length < expected || byteCounts.length < expected) {
    throw damaged(
      name,
      `it lists ${Math.min(offsets.length, byteCounts.length)} of the ${counted(expected, 'strip or tile', 'strips or tiles')} that it needs`,
    );
  }
  const blocks = {
    offsets: offsets.slice(0, expected),
    byteCounts: byteCounts.slice(0, expected),
    ...layout,
  };
  checkBlocks(tiff, picture, blocks);
  if (picture.compression === lzw) await checkLzw(tiff, blocks);
  if (picture.compression === lzw || picture.compression === 32773) await checkZeroRuns(tiff, blocks);
  return blocks;
}

/** A tile of the usual size is larger than a small picture; beyond this, tiles may hold so many times the picture's pixels. Own choice. */
const freeTilePixels = 4096 * 4096;
const maxTileWaste = 4;

/** The header promises the picture alone, but a tile is unpacked as a whole, what lies beyond the picture included. */
function checkTiles(
  name: string,
  { width, height }: TiffPicture,
  tile: Pick<TiffBlocks, 'width' | 'height'>,
  limits: ReadLimits,
): void {
  const across = Math.ceil(width / tile.width) * tile.width;
  const down = Math.ceil(height / tile.height) * tile.height;
  const pixels = across * down;
  if (pixels <= freeTilePixels) return;
  if (pixels <= maxTileWaste * width * height && tile.width * tile.height <= limits.maxPixels) return;
  throw new PlatehandError(
    'picture-too-large',
    `its tiles hold ${across} x ${down} pixels for a picture of ${width} x ${height}`,
    'Save it again; usual tiles are 128 to 1024 pixels wide',
    { place: { file: name } },
  );
}

function checkBlocks(tiff: Tiff, picture: TiffPicture, blocks: TiffBlocks): void {
  for (const [index, offset] of blocks.offsets.entries()) {
    const bytes = blocks.byteCounts[index];
    if (offset === 0 || bytes === 0) {
      throw damaged(
        tiff.source.name,
        `strip or tile ${index + 1} of ${blocks.offsets.length} was never written`,
      );
    }
    if (offset + bytes > tiff.source.size) throw cutShort(tiff.source.name, tiff.source.size);
    const plain = plainBytes(picture, blocks, index);
    if (plain !== undefined && bytes < plain) {
      throw damaged(
        tiff.source.name,
        `strip or tile ${index + 1} holds ${bytes} of the ${counted(plain, 'byte')} that it needs`,
      );
    }
  }
}

/**
 * LZW begins with the clear code, 256 in nine bits (TIFF 6.0 section 13): high bit first that is 0x80, and low bit first, as early
 * writers had it, 0x00 with an odd byte behind. Those the decoder does not take for sure.
 */
async function checkLzw({ source }: Tiff, { offsets, byteCounts }: TiffBlocks): Promise<void> {
  if (byteCounts[0] < 2) return;
  const [first, second] = await source.read(offsets[0], 2);
  if (first !== 0 || second % 2 === 0) return;
  throw unsupported(
    source.name,
    'its pixels are compressed with old-style LZW, whose bits stand in reverse; few programs still read that',
    'Open it in a program that does and save it again, with LZW or deflate compression or with none',
  );
}

async function checkZeroRuns(tiff: Tiff, blocks: TiffBlocks): Promise<void> {
  for (const [index, offset] of blocks.offsets.entries()) {
    if (!(await hasZeroRun(tiff.source, offset, offset + blocks.byteCounts[index], impossibleRun))) continue;
    throw damaged(
      tiff.source.name,
      `strip or tile ${index + 1} holds a stretch of nothing but zero bytes, as where a copy broke off`,
    );
  }
}

/** Bytes that an uncompressed block takes; undefined where the block is compressed. */
function plainBytes(
  picture: TiffPicture,
  blocks: Pick<TiffBlocks, 'width' | 'height'>,
  index: number,
): number | undefined {
  if (picture.compression !== 1) return undefined;
  const down = Math.ceil(picture.height / blocks.height);
  const rowsLeft = picture.height - (index % down) * blocks.height;
  const rows = picture.tiled ? blocks.height : Math.min(blocks.height, rowsLeft);
  return rows * rowBytes(picture, blocks);
}

function rowBytes(picture: TiffPicture, blocks: Pick<TiffBlocks, 'width'>): number {
  const samples = picture.planar ? 1 : picture.samplesPerPixel;
  return Math.ceil((blocks.width * samples * picture.storedBits) / 8);
}

/**
 * Looks for a long tail of zero bytes, as a copy that broke off leaves behind when the room was reserved first. Decoders
 * take it for pixels. No compression scheme ends in such a run; in plain data it may be a picture that ends in black.
 * @returns a finding, or undefined where there is no such tail
 * @throws PlatehandError `picture-unreadable` for compressed data
 */
export async function emptyTail(
  tiff: Tiff,
  picture: TiffPicture,
  blocks: TiffBlocks,
): Promise<Noticed | undefined> {
  const order = blocks.offsets.map((_, index) => index).sort((a, b) => blocks.offsets[b] - blocks.offsets[a]);
  const total = blocks.byteCounts.reduce((sum, bytes) => sum + bytes, 0);
  let zeros = 0;
  for (const index of order) {
    const offset = blocks.offsets[index];
    const run = await zeroTail(tiff.source, offset, offset + blocks.byteCounts[index]);
    zeros += run;
    if (run < blocks.byteCounts[index]) {
      const share = zeros / total;
      // A few bytes of zeros mean nothing; real tails are at least a disk sector long.
      if (share <= emptyTailShare || zeros < 512) return undefined;
      if (picture.compression !== 1) throw damaged(tiff.source.name, tailMessage(share));
      const sure = !picture.zeroIsPaper && (await breaksOffInRow(tiff, picture, blocks, index, run));
      return tailFinding(share, sure);
    }
  }
  if (picture.compression !== 1) throw damaged(tiff.source.name, tailMessage(1));
  return total < 512 ? undefined : tailFinding(1, !picture.zeroIsPaper);
}

/**
 * A picture that is meant to end in black turns black along a row, or is black at its right edge already. A copy breaks
 * off anywhere: inside a row, below a row that was not black at its end.
 */
async function breaksOffInRow(
  tiff: Tiff,
  picture: TiffPicture,
  blocks: TiffBlocks,
  index: number,
  run: number,
): Promise<boolean> {
  const row = rowBytes(picture, blocks);
  const whole = blocks.byteCounts[index] - run;
  if (picture.tiled || whole % row === 0) return false;
  const endOfRowAbove = Math.floor(whole / row) * row;
  if (endOfRowAbove === 0) return true;
  const last = await tiff.source.read(blocks.offsets[index] + endOfRowAbove - 1, 1);
  return last[0] !== 0;
}

function tailMessage(share: number): string {
  return `the last ${percentText(share)} of its pixel data are nothing but zero bytes, as after a copy that broke off`;
}

/** Rounded, but never to the limit that is exceeded, nor to all of it. */
function percentText(share: number): string {
  return `${figureBeside(share * 100, share > 0.5 ? 100 : emptyTailShare * 100, 0)} %`;
}

function tailFinding(share: number, sure: boolean): Noticed {
  return {
    code: 'picture-tail-empty',
    severity: sure ? 'stop' : 'warn',
    message: 'The end of its pixel data is nothing but zero bytes, as after a copy that broke off',
    measured: `the last ${percentText(share)}`,
    limit: `at most ${emptyTailShare * 100} %`,
    source: 'common practice, no published source',
    remedy: 'Look at the foot of the page; if it is not meant to be empty, copy the file again',
  };
}
