import { promisify } from 'node:util';
import { inflate } from 'node:zlib';
import { bufferSource, damaged } from '../reading/byte-source.js';
import {
  readTiff,
  type Tiff,
  type TiffDirectory,
  tiffNumber,
  tiffNumbers,
  tiffTag,
} from '../reading/tiff-directory.js';

/**
 * Press files as platehand wrote them, read back strip by strip: the composite in its inks, the composite of a page in black alone, the
 * plate of an extra ink. Strips that are packed to the same bytes need not be unpacked to know that they hold the same inks.
 */

/** A TIFF of 8 bits in deflated strips. */
export interface PressFile {
  /** As messages call it. */
  readonly name: string;
  readonly width: number;
  readonly height: number;
  /** C, M, Y and K, or one ink. */
  readonly samples: 1 | 4;
  /** Rows of a strip; the last may have fewer. */
  readonly rowsPerStrip: number;
  readonly strips: number;
  /** One strip as it is packed. */
  packed(strip: number): Promise<Buffer>;
  /** One strip's samples, 0 no ink and 255 full ink, interleaved. */
  inks(strip: number): Promise<Uint8Array>;
}

/** TIFF 6.0 and the technical notes of 2002: deflate, and samples stored less their left neighbour (tag 317). */
const deflate = 8;
const predictorTag = 317;
const differenced = 2;
const blackIsZero = 1;
const full = 255;

/** A header that claims more pixels than this is no page of ours: 1200 ppi on a spread of A3. Own choice. */
const mostPixels = 1_000_000_000;

const unpack = promisify(inflate);

/**
 * Opens a composite or a plate of 8 bits from its bytes.
 * @param name as messages call it
 * @throws PlatehandError `picture-unreadable` for what is not as platehand writes it
 */
export async function openPressFile(bytes: Buffer, name: string): Promise<PressFile> {
  const tiff = await readTiff(bufferSource(bytes, name));
  const [directory] = tiff.directories;
  const facts = await factsOf(tiff, directory);
  const { width, samples, isGrey, rowsPerStrip, height, offsets, counts } = facts;
  const packed = (strip: number) => tiff.source.read(offsets[strip], counts[strip]);
  const inks = async (strip: number) => {
    const rows = Math.min(rowsPerStrip, height - strip * rowsPerStrip);
    const length = rows * width * samples;
    const strange = (cause?: unknown) => damaged(name, `strip ${strip + 1} of it cannot be unpacked`, cause);
    const unpacked = await unpack(await packed(strip), { maxOutputLength: length }).catch(
      (thrown: unknown) => {
        throw strange(thrown);
      },
    );
    if (unpacked.length !== length) throw strange();
    const data = new Uint8Array(unpacked.buffer, unpacked.byteOffset, length);
    addUp(data, width * samples, samples);
    if (isGrey) for (let i = 0; i < length; i++) data[i] = full - data[i];
    return data;
  };
  return { name, width, height, samples, rowsPerStrip, strips: offsets.length, packed, inks };
}

async function factsOf(tiff: Tiff, directory: TiffDirectory) {
  const number = (tag: number, otherwise: number) => tiffNumber(tiff, directory, tag, otherwise);
  const width = await number(tiffTag.imageWidth, 0);
  const height = await number(tiffTag.imageLength, 0);
  const samples = await number(tiffTag.samplesPerPixel, 1);
  const bits = (await tiffNumbers(tiff, directory, tiffTag.bitsPerSample)) ?? [1];
  const offsets = (await tiffNumbers(tiff, directory, tiffTag.stripOffsets)) ?? [];
  const counts = (await tiffNumbers(tiff, directory, tiffTag.stripByteCounts)) ?? [];
  const rowsPerStrip = Math.min(height, await number(tiffTag.rowsPerStrip, height));
  const isOurs =
    (await number(tiffTag.compression, 1)) === deflate &&
    (await number(predictorTag, 1)) === differenced &&
    bits.every((each) => each === 8) &&
    width > 0 &&
    rowsPerStrip > 0 &&
    width * height <= mostPixels &&
    offsets.length === Math.ceil(height / rowsPerStrip) &&
    counts.length === offsets.length;
  if (!isOurs || (samples !== 1 && samples !== 4)) throw notOurs(tiff.source.name);
  const isGrey = (await number(tiffTag.photometric, 0)) === blackIsZero;
  return { width, height, samples: samples as 1 | 4, isGrey, rowsPerStrip, offsets, counts };
}

function notOurs(name: string) {
  return damaged(name, 'it is not as platehand writes press files: another program has saved it');
}

/** Undoes the differences of each row, in place. */
function addUp(data: Uint8Array, rowLength: number, samples: number): void {
  for (let row = 0; row < data.length; row += rowLength) {
    for (let i = row + samples; i < row + rowLength; i++) data[i] += data[i - samples];
  }
}
