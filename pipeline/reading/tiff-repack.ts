import type { TiffBlocks } from './tiff-blocks.js';
import { type Tiff, tiffBytes, tiffNumber } from './tiff-directory.js';
import type { TiffPicture } from './tiff-picture.js';

/** Tags that a repacked file has beyond those of `tiffTag`. */
const predictor = 317;
const jpegTables = 347;

interface Field {
  readonly tag: number;
  readonly type: 'short' | 'long' | 'undefined';
  readonly values: ArrayLike<number>;
}

const typeCodes = { short: 3, long: 4, undefined: 7 } as const;
const typeBytes = { short: 2, long: 4, undefined: 1 } as const;

/**
 * Puts a picture's strips or tiles, still compressed, into a small TIFF of its own with only the tags that decoding
 * needs. So the decoder can be given what it takes: one plane of a file with separate tiles as a grey picture, or
 * premultiplied colours under the name of straight ones, for us to divide with proper rounding.
 * @param plane which plane, for a planar picture; undefined for all channels together
 */
export async function repackTiff(
  tiff: Tiff,
  picture: TiffPicture,
  blocks: TiffBlocks,
  plane: number | undefined,
): Promise<Buffer> {
  const perPlane =
    plane === undefined ? blocks.offsets.length : blocks.offsets.length / picture.samplesPerPixel;
  const first = (plane ?? 0) * perPlane;
  const offsets: number[] = [];
  const pieces: Buffer[] = [];
  let at = 8;
  for (let index = first; index < first + perPlane; index++) {
    const bytes = await tiff.source.read(blocks.offsets[index], blocks.byteCounts[index]);
    offsets.push(at);
    // Blocks and directories start on even offsets (TIFF 6.0 page 13).
    pieces.push(bytes.length % 2 === 0 ? bytes : Buffer.concat([bytes, Buffer.alloc(1)]));
    at += bytes.length + (bytes.length % 2);
  }
  const byteCounts = blocks.byteCounts.slice(first, first + perPlane);
  const fields = await fieldsOf(tiff, picture, { ...blocks, offsets, byteCounts }, plane);
  const head = Buffer.alloc(8);
  head.write(tiff.littleEndian ? 'II' : 'MM', 'latin1');
  put(head, 2, 42, 2, tiff.littleEndian);
  put(head, 4, at, 4, tiff.littleEndian);
  return Buffer.concat([head, ...pieces, directoryBytes(fields, at, tiff.littleEndian)]);
}

async function fieldsOf(
  tiff: Tiff,
  picture: TiffPicture,
  blocks: TiffBlocks,
  plane: number | undefined,
): Promise<Field[]> {
  const samples = plane === undefined ? picture.samplesPerPixel : 1;
  const short = (tag: number, ...values: number[]): Field => ({ tag, type: 'short', values });
  const long = (tag: number, ...values: number[]): Field => ({ tag, type: 'long', values });
  const fields = [
    long(256, picture.width),
    long(257, picture.height),
    short(258, ...new Array<number>(samples).fill(picture.storedBits)),
    short(259, picture.compression),
    short(262, plane === undefined || (plane === 0 && picture.model === 'grey') ? picture.photometric : 1),
    short(274, picture.orientation),
    short(277, samples),
    short(284, plane === undefined && picture.planar ? 2 : 1),
    short(predictor, await tiffNumber(tiff, picture.directory, predictor, 1)),
  ];
  if (picture.tiled) fields.push(long(322, blocks.width), long(323, blocks.height));
  else fields.push(long(278, blocks.height));
  fields.push(long(picture.tiled ? 324 : 273, ...blocks.offsets));
  fields.push(long(picture.tiled ? 325 : 279, ...blocks.byteCounts));
  const extras = samples - picture.colours;
  if (plane === undefined && extras > 0) {
    const kinds = new Array<number>(extras).fill(0);
    if (picture.alphaAt !== undefined) kinds[picture.alphaAt - picture.colours] = 2;
    fields.push(short(338, ...kinds));
  }
  const tables = await tiffBytes(tiff, picture.directory, jpegTables);
  if (tables !== undefined) fields.push({ tag: jpegTables, type: 'undefined', values: tables });
  return fields.sort((a, b) => a.tag - b.tag);
}

/** A classic directory (TIFF 6.0 page 14) that stands at `at`, its longer values right behind it. */
function directoryBytes(fields: readonly Field[], at: number, littleEndian: boolean): Buffer {
  const entries = Buffer.alloc(2 + fields.length * 12 + 4);
  put(entries, 0, fields.length, 2, littleEndian);
  const values: Buffer[] = [];
  let valueAt = at + entries.length;
  for (const [index, field] of fields.entries()) {
    const size = typeBytes[field.type];
    const bytes = Buffer.alloc(Math.max(4, field.values.length * size));
    for (let i = 0; i < field.values.length; i++) put(bytes, i * size, field.values[i], size, littleEndian);
    const entry = 2 + index * 12;
    put(entries, entry, field.tag, 2, littleEndian);
    put(entries, entry + 2, typeCodes[field.type], 2, littleEndian);
    put(entries, entry + 4, field.values.length, 4, littleEndian);
    if (bytes.length === 4) bytes.copy(entries, entry + 8);
    else {
      put(entries, entry + 8, valueAt, 4, littleEndian);
      values.push(bytes, Buffer.alloc(bytes.length % 2));
      valueAt += bytes.length + (bytes.length % 2);
    }
  }
  return Buffer.concat([entries, ...values]);
}

function put(bytes: Buffer, at: number, value: number, length: number, littleEndian: boolean): void {
  if (littleEndian) bytes.writeUIntLE(value, at, length);
  else bytes.writeUIntBE(value, at, length);
}
