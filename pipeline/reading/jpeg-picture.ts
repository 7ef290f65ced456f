import { counted } from '../../config/figures.js';
import { mmPerInch } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { ColourModel, StatedPpi } from '../model/raster.js';
import { type ByteSource, cutShort, damaged, unsupported } from './byte-source.js';
import { exifFacts } from './exif.js';
import { checkScans } from './jpeg-scans.js';
import { profileUnreadable } from './png-colour.js';
import { defaultReadLimits, type ReadLimits } from './read-limits.js';
import { plausible, type StoredPicture } from './stored-picture.js';
import { hasZeroRun, hasZeroSectors } from './zero-stretch.js';

/** Marker segments before the pixels, as ITU-T T.81 table B.1 names them. */
interface Segments {
  /** Payload of the start of frame. */
  readonly frame: Buffer;
  /** Its marker, which tells how the pixels are coded. */
  readonly frameMarker: number;
  /** Payloads of the Huffman tables before the pixels. */
  readonly tables: readonly Buffer[];
  readonly jfif: Buffer | undefined;
  readonly exif: Buffer | undefined;
  /** Whether an Adobe segment states the colour transform, and with it inverted CMYK. */
  readonly adobe: boolean;
  /** Profile chunks of APP2 (ICC.1 annex B.4): sequence number, number of chunks, data. */
  readonly profileChunks: readonly Buffer[];
  /** Where the first scan begins. */
  readonly scanAt: number;
}

/** How APP2 segments that carry a profile begin. */
const profileMark = 'ICC_PROFILE\0';

const startOfScan = 0xda;
const endOfImage = 0xd9;
const huffmanTables = 0xc4;

/** Start of frame, sequential with Huffman codes (T.81 table B.1): baseline and extended. */
const sequentialFrames = [0xc0, 0xc1];

/** More segments than this mean a damaged or hostile file; a profile alone may take 255. */
const maxSegments = 4096;

/**
 * Reads the segments of a JPEG up to its pixels.
 * @throws PlatehandError `picture-unreadable`, `picture-unsupported`, or `picture-too-large` where its scans ask for too much
 */
export async function describeJpeg(
  source: ByteSource,
  limits: ReadLimits = defaultReadLimits,
): Promise<StoredPicture> {
  const segments = await readSegments(source);
  const { frame } = segments;
  await checkEnd(source, segments.scanAt);
  if (frame.length < 6) throw damaged(source.name, 'its JPEG header is damaged');
  if (frame[0] !== 8) {
    throw unsupported(
      source.name,
      `it is a JPEG with ${counted(frame[0], 'bit')} per channel`,
      'Save it as TIFF or PNG',
    );
  }
  await checkScans(source, frame, segments.scanAt, limits);
  const model = ({ 1: 'grey', 3: 'rgb', 4: 'cmyk' } as Record<number, ColourModel>)[frame[5]];
  if (model === undefined) {
    throw unsupported(
      source.name,
      `it is a JPEG with ${counted(frame[5], 'channel')}`,
      'Save it as TIFF or PNG',
    );
  }
  const exif = await exifFacts(segments.exif, source.name);
  const profile = joinProfile(segments.profileChunks);
  const noticed: Noticed[] = [];
  if (segments.profileChunks.length > 0 && profile === undefined) noticed.push(profileUnreadable);
  if (model === 'cmyk' && !segments.adobe) noticed.push(polarityUnknown);
  if (await hasLostStretch(source, segments)) noticed.push(zeroStretch);
  return {
    format: 'jpeg',
    width: frame.readUInt16BE(3),
    height: frame.readUInt16BE(1),
    model,
    bits: 8,
    channels: frame[5],
    alphaAt: undefined,
    orientation: exif.orientation,
    ppi: exif.ppi ?? jfifDensity(segments.jfif),
    statedDay: exif.statedDay,
    profile,
    noticed,
  };
}

async function readSegments(source: ByteSource): Promise<Segments> {
  const found: Found = {
    frame: undefined,
    frameMarker: 0,
    tables: [],
    jfif: undefined,
    exif: undefined,
    adobe: false,
    profileChunks: [],
  };
  let at = 2;
  for (let count = 0; count < maxSegments; count++) {
    const [fill, marker] = await source.read(at, 2);
    if (fill !== 0xff) throw damaged(source.name, 'its JPEG segments are damaged');
    if (marker === 0xff) {
      at += 1; // Any marker may be preceded by fill bytes (T.81 B.1.1.2).
      continue;
    }
    if (marker === startOfScan || marker === endOfImage) break;
    const length = (await source.read(at + 2, 2)).readUInt16BE(0);
    if (length < 2) throw damaged(source.name, 'its JPEG segments are damaged');
    keepSegment(found, marker, await source.read(at + 4, length - 2));
    at += 2 + length;
  }
  if (found.frame === undefined) throw damaged(source.name, 'its JPEG header has no start of frame');
  return { ...found, frame: found.frame, scanAt: at };
}

/**
 * Looks for the end of image marker from the back, for some programs append data of their own. In coded data it cannot
 * occur by chance (T.81 B.1.1.5), so a file without it is cut short, whatever follows.
 */
async function checkEnd(source: ByteSource, scanAt: number): Promise<void> {
  const piece = 64 * 1024;
  const marker = Buffer.from([0xff, endOfImage]);
  for (let end = source.size; end > scanAt + 1; end -= piece - 1) {
    const start = Math.max(scanAt, end - piece);
    if ((await source.read(start, end - start)).includes(marker)) return;
  }
  throw cutShort(source.name, source.size);
}

/** Segments while they are being gathered; the first of each kind counts. */
interface Found {
  frame: Buffer | undefined;
  frameMarker: number;
  readonly tables: Buffer[];
  jfif: Buffer | undefined;
  exif: Buffer | undefined;
  adobe: boolean;
  readonly profileChunks: Buffer[];
}

function keepSegment(found: Found, marker: number, payload: Buffer): void {
  if (isFrame(marker)) keepFrame(found, marker, payload);
  else if (marker === huffmanTables) found.tables.push(payload);
  else if (marker === 0xe0 && startsWith(payload, 'JFIF\0')) found.jfif ??= payload;
  else if (marker === 0xe1 && startsWith(payload, 'Exif\0\0')) found.exif ??= payload.subarray(6);
  else if (marker === 0xee && startsWith(payload, 'Adobe')) found.adobe = true;
  else if (marker === 0xe2 && startsWith(payload, profileMark)) {
    found.profileChunks.push(payload.subarray(profileMark.length));
  }
}

function keepFrame(found: Found, marker: number, payload: Buffer): void {
  if (found.frame !== undefined) return;
  found.frame = payload;
  found.frameMarker = marker;
}

function startsWith(payload: Buffer, mark: string): boolean {
  return payload.toString('latin1', 0, mark.length) === mark;
}

/** Frames C0 to CF but for the tables DHT and DAC and the reserved JPG. */
function isFrame(marker: number): boolean {
  return marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
}

/** Puts the chunks of a profile in order; undefined unless every one of them is there. */
function joinProfile(chunks: readonly Buffer[]): Uint8Array | undefined {
  if (chunks.length === 0 || chunks.some((chunk) => chunk.length < 2 || chunk[1] !== chunks.length))
    return undefined;
  const ordered = [...chunks].sort((a, b) => a[0] - b[0]);
  if (ordered.some((chunk, index) => chunk[0] !== index + 1)) return undefined;
  return Buffer.concat(ordered.map((chunk) => chunk.subarray(2)));
}

/** JFIF 1.02: unit 1 is per inch, 2 per centimetre, 0 states an aspect ratio only. */
function jfifDensity(payload: Buffer | undefined): StatedPpi | undefined {
  if (payload === undefined || payload.length < 12) return undefined;
  const factor = ({ 1: 1, 2: mmPerInch / 10 } as Record<number, number>)[payload[7]];
  if (factor === undefined) return undefined;
  return plausible(payload.readUInt16BE(8) * factor, payload.readUInt16BE(10) * factor);
}

/** Zero bytes in a row that mean a lost stretch: a page of a disk's or a system's memory. Common practice, no published source. */
const suspiciousRun = 4096;

/**
 * Whether part of the pixels was lost and left as zeros. Encoders that fit their codes to the picture write a flat area as zeros by
 * itself: there zeros count only where they fill whole sectors.
 */
async function hasLostStretch(source: ByteSource, segments: Segments): Promise<boolean> {
  const { scanAt } = segments;
  if (!(await hasZeroRun(source, scanAt, source.size, suspiciousRun))) return false;
  return !zerosAreFlat(segments) || hasZeroSectors(source, scanAt, source.size, suspiciousRun);
}

/**
 * Whether zero bits mean an area without any change: no difference to the block before (symbol 0 of the tables of class 0), and no
 * coefficient (symbol 0 of those of class 1, end of block), being the first code of every table (T.81 F.1.2, C.2). In files that are
 * coded progressively bits of refinement are zero as well.
 */
function zerosAreFlat({ frameMarker, tables }: Segments): boolean {
  return !sequentialFrames.includes(frameMarker) || tables.every(beginsWithNought);
}

/** DHT (T.81 B.2.4.2): for each table its class and number, sixteen counts of codes by length, and their symbols. */
function beginsWithNought(payload: Buffer): boolean {
  for (let at = 0; at + 17 < payload.length; ) {
    const symbols = payload.subarray(at + 1, at + 17).reduce((sum, count) => sum + count, 0);
    if (payload[at + 17] !== 0) return false;
    at += 17 + symbols;
  }
  return true;
}

const zeroStretch: Noticed = {
  code: 'picture-zero-stretch',
  severity: 'warn',
  message: 'Part of the picture may be lost: a stretch of its data is nothing but zero bytes',
  measured: `more than ${suspiciousRun} zero bytes in a row`,
  source: 'common practice, no published source',
  remedy: 'Look for a stripe or a shift in the proof; if there is one, copy the file again or save it again.',
};

const polarityUnknown: Noticed = {
  code: 'picture-cmyk-unmarked',
  severity: 'warn',
  message: 'It is a CMYK JPEG that does not say whether its inks are inverted; they are taken as they stand',
  source: 'common practice, no published source',
  remedy: 'Look at the proof: if it is a negative, save the page as TIFF',
};
