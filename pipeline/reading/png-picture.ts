import { mmPerInch } from '../../config/units.js';
import type { StatedPpi } from '../model/raster.js';
import { type ByteSource, cutShort, damaged } from './byte-source.js';
import { exifFacts } from './exif.js';
import { pngColour } from './png-colour.js';
import { dayOfTextChunk, dayOfTimeChunk, latestDay } from './stated-day.js';
import { plausible, type StoredPicture } from './stored-picture.js';

/** The eight bytes that every PNG starts with (PNG, third edition, 5.2). */
export const pngSignature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/** The last twelve bytes of a whole PNG: an empty IEND chunk and its CRC. */
const pngEnd = Buffer.from([0, 0, 0, 0, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82]);

/** Channels by colour type (PNG 11.2.1): 0 grey, 2 RGB, 3 palette, 4 grey with alpha, 6 RGB with alpha. */
export const colourTypes: Readonly<
  Record<number, { model: 'grey' | 'rgb'; colours: number; alpha: boolean }>
> = {
  0: { model: 'grey', colours: 1, alpha: false },
  2: { model: 'rgb', colours: 3, alpha: false },
  3: { model: 'rgb', colours: 3, alpha: false },
  4: { model: 'grey', colours: 1, alpha: true },
  6: { model: 'rgb', colours: 3, alpha: true },
};

/** Chunks before the pixels are few; more mean a hostile file. */
const maxChunks = 10_000;

/** What stands before the pixels is a profile and some texts; the largest profiles have 8 MB. */
const maxHeadBytes = 64 * 1024 * 1024;

/** What the chunks before the pixels say, by chunk name; the first of each name counts. */
type Chunks = ReadonlyMap<string, Buffer>;

interface HeadChunks {
  readonly chunks: Chunks;
  /** The day that one of its texts states: there are many of them under one name. */
  readonly textDay: string | undefined;
}

/**
 * Reads the chunks of a PNG up to its pixels.
 * @throws PlatehandError `picture-unreadable` where it is cut short or contradicts itself
 */
export async function describePng(source: ByteSource): Promise<StoredPicture> {
  const { chunks, textDay } = await headChunks(source);
  const header = chunks.get('IHDR');
  const type = header === undefined || header.length !== 13 ? undefined : colourTypes[header[9]];
  if (header === undefined || type === undefined) throw damaged(source.name, 'its PNG header is damaged');
  const alpha = type.alpha || chunks.has('tRNS');
  const exif = await exifFacts(chunks.get('eXIf'), source.name);
  return {
    format: 'png',
    width: header.readUInt32BE(0),
    height: header.readUInt32BE(4),
    model: type.model,
    bits: header[9] === 3 ? 8 : header[8],
    channels: type.colours + (alpha ? 1 : 0),
    alphaAt: alpha ? type.colours : undefined,
    orientation: exif.orientation,
    ppi: physicalPixels(chunks.get('pHYs')) ?? exif.ppi,
    statedDay: latestDay([dayOfTimeChunk(chunks.get('tIME')), textDay, exif.statedDay]),
    ...pngColour(chunks, type.model),
  };
}

async function headChunks(source: ByteSource): Promise<HeadChunks> {
  const chunks = new Map<string, Buffer>();
  let textDay: string | undefined;
  let at = pngSignature.length;
  for (let count = 0; count < maxChunks; count++) {
    const head = await source.read(at, 8);
    const length = head.readUInt32BE(0);
    const name = head.toString('latin1', 4, 8);
    if (name === 'IDAT' || name === 'IEND') return { chunks, textDay };
    if (at + length > maxHeadBytes) break;
    if (name === 'tEXt') textDay ??= dayOfTextChunk(await source.read(at + 8, length));
    else if (!chunks.has(name)) chunks.set(name, await source.read(at + 8, length));
    at += 12 + length;
  }
  throw damaged(source.name, 'its PNG chunks never come to the pixels');
}

/**
 * Makes sure that a PNG goes on to its IEND chunk: decoders stop looking once they have every row.
 * @throws PlatehandError `picture-unreadable` where it ends before
 */
export async function checkPngEnd(source: ByteSource): Promise<void> {
  const tail = Math.min(source.size, pngEnd.length);
  if ((await source.read(source.size - tail, tail)).equals(pngEnd)) return;
  let at = pngSignature.length;
  while (at + 8 <= source.size) {
    const head = await source.read(at, 8);
    at += 12 + head.readUInt32BE(0);
    if (head.toString('latin1', 4, 8) === 'IEND' && at <= source.size) return;
  }
  throw cutShort(source.name, source.size);
}

/** pHYs (PNG 11.3.4.3): pixels per metre along each axis, if the unit byte is 1. */
function physicalPixels(chunk: Buffer | undefined): StatedPpi | undefined {
  if (chunk === undefined || chunk.length !== 9 || chunk[8] !== 1) return undefined;
  return plausible(perMetreToPpi(chunk.readUInt32BE(0)), perMetreToPpi(chunk.readUInt32BE(4)));
}

/** 11811 pixels per metre are meant as 300 per inch: the chunk has room for whole numbers only. */
function perMetreToPpi(perMetre: number): number {
  const ppi = (perMetre * mmPerInch) / 1000;
  const whole = Math.round(ppi);
  return Math.round((whole * 1000) / mmPerInch) === perMetre ? whole : ppi;
}
