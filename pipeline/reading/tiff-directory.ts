import { type ByteSource, damaged } from './byte-source.js';

/** One field of a directory: where its values stand in the file, not yet read. */
export interface TiffField {
  /** Field type, 1 BYTE to 18 IFD8. */
  readonly type: number;
  readonly count: number;
  /** File offset of the first value. */
  readonly at: number;
}

/** One image file directory: tag to field. */
export type TiffDirectory = ReadonlyMap<number, TiffField>;

/** The skeleton of a TIFF 6.0 or BigTIFF file: its directories in the order of their chain. */
export interface Tiff {
  readonly source: ByteSource;
  readonly littleEndian: boolean;
  /** BigTIFF, with offsets of eight bytes. */
  readonly big: boolean;
  readonly directories: readonly TiffDirectory[];
}

/** Tags that this program looks at, by their names in TIFF 6.0 and, from 34665 on, in ICC.1 and EXIF. */
export const tiffTag = {
  newSubfileType: 254,
  subfileType: 255,
  imageWidth: 256,
  imageLength: 257,
  bitsPerSample: 258,
  compression: 259,
  photometric: 262,
  stripOffsets: 273,
  orientation: 274,
  samplesPerPixel: 277,
  rowsPerStrip: 278,
  stripByteCounts: 279,
  xResolution: 282,
  yResolution: 283,
  planarConfiguration: 284,
  resolutionUnit: 296,
  dateTime: 306,
  tileWidth: 322,
  tileLength: 323,
  tileOffsets: 324,
  tileByteCounts: 325,
  inkSet: 332,
  extraSamples: 338,
  sampleFormat: 339,
  iccProfile: 34675,
  exifDirectory: 34665,
  dateTimeOriginal: 36867,
  dateTimeDigitized: 36868,
} as const;

/** Bytes of one value by field type (TIFF 6.0 section 2; 16 to 18 are BigTIFF's). */
const typeBytes: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
  16: 8,
  17: 8,
  18: 8,
};

/** More directories, fields or values than any page needs mean a damaged or hostile file. */
const maxDirectories = 1000;
const maxFields = 4096;
const maxValues = 4_000_000;

/**
 * Reads the header and every directory of the main chain.
 * @param source a whole TIFF file, or the TIFF structure inside an EXIF block
 * @throws PlatehandError `picture-unreadable` where a directory lies outside the file or the chain loops
 */
export async function readTiff(source: ByteSource): Promise<Tiff> {
  const head = await source.read(0, 8);
  const littleEndian = head[0] === 0x49;
  const big = (littleEndian ? head.readUInt16LE(2) : head.readUInt16BE(2)) === 43;
  let next = big ? unsigned(await source.read(8, 8), 0, 8, littleEndian) : unsigned(head, 4, 4, littleEndian);
  const directories: TiffDirectory[] = [];
  const seen = new Set<number>();
  while (next !== 0) {
    if (seen.has(next) || directories.length >= maxDirectories) {
      throw damaged(source.name, 'the chain of its TIFF directories never ends');
    }
    seen.add(next);
    const read = await readDirectory({ source, littleEndian, big }, next);
    directories.push(read.directory);
    next = read.next;
  }
  if (directories.length === 0) throw damaged(source.name, 'its TIFF header points to no directory');
  return { source, littleEndian, big, directories };
}

/**
 * Reads one directory, wherever it stands in the file, and where the next of its chain stands (0 for none).
 * @throws PlatehandError `picture-unreadable` where it lies outside the file
 */
export async function readDirectory(
  { source, littleEndian, big }: Omit<Tiff, 'directories'>,
  at: number,
): Promise<{ directory: TiffDirectory; next: number }> {
  const [countBytes, fieldBytes, offsetBytes] = big ? [8, 20, 8] : [2, 12, 4];
  const fields = unsigned(await source.read(at, countBytes), 0, countBytes, littleEndian);
  if (fields === 0 || fields > maxFields) {
    throw damaged(source.name, `a TIFF directory claims ${fields} fields`);
  }
  const bytes = await source.read(at + countBytes, fields * fieldBytes + offsetBytes);
  const directory = new Map<number, TiffField>();
  for (let i = 0; i < fields; i++) {
    const entry = i * fieldBytes;
    const tag = unsigned(bytes, entry, 2, littleEndian);
    const type = unsigned(bytes, entry + 2, 2, littleEndian);
    const count = unsigned(bytes, entry + 4, offsetBytes, littleEndian);
    const size = (typeBytes[type] ?? 1) * count;
    const valueAt = entry + 4 + offsetBytes;
    const inline = size <= offsetBytes;
    const offset = inline ? at + countBytes + valueAt : unsigned(bytes, valueAt, offsetBytes, littleEndian);
    if (!directory.has(tag)) directory.set(tag, { type, count, at: offset });
  }
  return { directory, next: unsigned(bytes, fields * fieldBytes, offsetBytes, littleEndian) };
}

function unsigned(bytes: Buffer, at: number, length: number, littleEndian: boolean): number {
  if (length === 8) return Number(littleEndian ? bytes.readBigUInt64LE(at) : bytes.readBigUInt64BE(at));
  return littleEndian ? bytes.readUIntLE(at, length) : bytes.readUIntBE(at, length);
}

/**
 * A field's values as numbers: whole numbers as they are, rationals as their quotient (NaN for 0/0).
 * @returns undefined where the directory has no such field
 * @throws PlatehandError `picture-unreadable` where the values lie outside the file or are of an unfit type
 */
export async function tiffNumbers(
  tiff: Tiff,
  directory: TiffDirectory,
  tag: number,
): Promise<number[] | undefined> {
  const field = directory.get(tag);
  if (field === undefined) return undefined;
  const length = typeBytes[field.type];
  const fit = [1, 3, 4, 5, 13, 16, 18].includes(field.type) && field.count > 0 && field.count <= maxValues;
  if (!fit) throw damaged(tiff.source.name, `TIFF tag ${tag} is not written as the format asks`);
  const bytes = await tiff.source.read(field.at, length * field.count);
  const values: number[] = [];
  for (let at = 0; at < bytes.length; at += length) {
    const whole = field.type !== 5;
    const top = unsigned(bytes, at, whole ? length : 4, tiff.littleEndian);
    values.push(whole ? top : top / unsigned(bytes, at + 4, 4, tiff.littleEndian));
  }
  return values;
}

/** The first value of a field, or `otherwise` where the directory has no such field. */
export async function tiffNumber(
  tiff: Tiff,
  directory: TiffDirectory,
  tag: number,
  otherwise: number,
): Promise<number> {
  const values = await tiffNumbers(tiff, directory, tag);
  return values === undefined ? otherwise : values[0];
}

/** A field's bytes as they stand; undefined where the directory has no such field. */
export async function tiffBytes(
  tiff: Tiff,
  directory: TiffDirectory,
  tag: number,
): Promise<Buffer | undefined> {
  const field = directory.get(tag);
  if (field === undefined || field.count === 0) return undefined;
  return tiff.source.read(field.at, (typeBytes[field.type] ?? 1) * field.count);
}
