import { mmPerInch } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { ColourModel, StatedPpi } from '../model/raster.js';
import { type ByteSource, cutShort, damaged, unsupported } from './byte-source.js';
import { exifFacts } from './exif.js';
import { profileUnreadable } from './png-colour.js';
import { plausible, type StoredPicture } from './stored-picture.js';
import { hasZeroRun } from './zero-stretch.js';

/** Marker segments before the pixels, as ITU-T T.81 table B.1 names them. */
interface Segments {
  /** Payload of the start of frame. */
  readonly frame: Buffer;
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

/** More segments than this mean a damaged or hostile file; a profile alone may take 255. */
const maxSegments = 4096;

/**
 * Reads the segments of a JPEG up to its pixels.
 * @throws PlatehandError `picture-unreadable` or `picture-unsupported`
 */
export async function describeJpeg(source: ByteSource): Promise<StoredPicture> {
  const segments = await readSegments(source);
  const { frame } = segments;
  await checkEnd(source, segments.scanAt);
  if (frame.length < 6) throw damaged(source.name, 'its JPEG header is damaged');
  if (frame[0] !== 8) {
    throw unsupported(
      source.name,
      `it is a JPEG with ${frame[0]} bits per channel`,
      'Save it as TIFF or PNG',
    );
  }
  const model = ({ 1: 'grey', 3: 'rgb', 4: 'cmyk' } as Record<number, ColourModel>)[frame[5]];
  if (model === undefined) {
    throw unsupported(source.name, `it is a JPEG with ${frame[5]} channels`, 'Save it as TIFF or PNG');
  }
  const exif = await exifFacts(segments.exif, source.name);
  const profile = joinProfile(segments.profileChunks);
  const noticed: Noticed[] = [];
  if (segments.profileChunks.length > 0 && profile === undefined) noticed.push(profileUnreadable);
  if (model === 'cmyk' && !segments.adobe) noticed.push(polarityUnknown);
  if (await hasZeroRun(source, segments.scanAt, source.size, suspiciousRun)) noticed.push(zeroStretch);
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
  jfif: Buffer | undefined;
  exif: Buffer | undefined;
  adobe: boolean;
  readonly profileChunks: Buffer[];
}

function keepSegment(found: Found, marker: number, payload: Buffer): void {
  if (isFrame(marker)) found.frame ??= payload;
  else if (marker === 0xe0 && startsWith(payload, 'JFIF\0')) found.jfif ??= payload;
  else if (marker === 0xe1 && startsWith(payload, 'Exif\0\0')) found.exif ??= payload.subarray(6);
  else if (marker === 0xee && startsWith(payload, 'Adobe')) found.adobe = true;
  else if (marker === 0xe2 && startsWith(payload, profileMark)) {
    found.profileChunks.push(payload.subarray(profileMark.length));
  }
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

/** Zero bytes in a row that mean a lost stretch, unless a large area of the page is quite flat. */
const suspiciousRun = 4096;

const zeroStretch: Noticed = {
  code: 'picture-zero-stretch',
  severity: 'warn',
  message: `A stretch of more than ${suspiciousRun} zero bytes stands in its pixel data`,
  source: 'common practice, no published source',
  remedy:
    'Look at the proof: part of the picture may be lost, unless a large area is quite flat; else copy it again',
};

const polarityUnknown: Noticed = {
  code: 'picture-cmyk-unmarked',
  severity: 'warn',
  message: 'It is a CMYK JPEG that does not say whether its inks are inverted; they are taken as they stand',
  source: 'common practice, no published source',
  remedy: 'Look at the proof: if it is a negative, save the page as TIFF',
};
