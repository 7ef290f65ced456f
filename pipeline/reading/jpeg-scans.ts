import { PlatehandError } from '../../config/errors.js';
import { figureBeside } from '../../config/figures.js';
import type { ByteSource } from './byte-source.js';
import type { ReadLimits } from './read-limits.js';

/**
 * A picture that is coded progressively comes in some ten scans, each of which goes over all of its pixels: a file of a few MB could ask
 * for thousands. The same figure as the TIFF library's own limit for JPEG within TIFF; no published standard has one.
 */
const maxScans = 100;

const startOfScan = Buffer.from([0xff, 0xda]);
const endOfImage = 0xd9;

/** Bytes of a coefficient, of which a decoder keeps all of a picture that comes in several scans. */
const coefficientBytes = 2;

/** Read at a time. */
const pieceBytes = 1024 * 1024;

/**
 * Refuses a JPEG whose decoding would cost more than its header tells: more scans than any program writes, or, where it comes in several,
 * more memory for its coefficients than a decoded picture may take.
 * @param frame payload of its start of frame
 * @param scanAt where its first scan begins
 * @throws PlatehandError `picture-too-large`
 */
export async function checkScans(
  source: ByteSource,
  frame: Buffer,
  scanAt: number,
  limits: ReadLimits,
): Promise<void> {
  const marks = await countMarks(source, scanAt);
  // Nearly every file has a single scan, and needs no second look.
  const scans = marks <= 1 ? marks : await countScans(source, scanAt);
  if (scans > maxScans) {
    throw tooCostly(source.name, `it comes in more than the ${maxScans} scans that are taken in`);
  }
  const bytes = frame.readUInt16BE(1) * frame.readUInt16BE(3) * sampleShare(frame) * coefficientBytes;
  if (scans <= 1 || bytes <= limits.maxDecodedBytes) return;
  const mostMb = Math.floor(limits.maxDecodedBytes / 1e6);
  const asked = figureBeside(bytes / 1e6, mostMb, 0);
  throw tooCostly(
    source.name,
    `it is coded progressively and takes ${asked} MB to decode, more than the ${mostMb} MB that are taken in`,
  );
}

/** Samples of all components for one pixel, with subsampling (T.81 A.1.1, B.2.2). */
function sampleShare(frame: Buffer): number {
  const factors: number[] = [];
  for (let at = 7; at < frame.length && factors.length < frame[5]; at += 3) factors.push(frame[at]);
  const across = factors.map((factor) => factor >> 4);
  const down = factors.map((factor) => factor & 15);
  const whole = Math.max(1, ...across) * Math.max(1, ...down);
  return factors.reduce((sum, _, i) => sum + across[i] * down[i], 0) / whole;
}

/** How often two bytes stand anywhere that may be the beginning of a scan: at least as often as there are scans. */
async function countMarks(source: ByteSource, from: number): Promise<number> {
  let count = 0;
  for (let start = from; start < source.size; start += pieceBytes) {
    // One byte more, so that a mark between two pieces is seen.
    const piece = await source.read(start, Math.min(pieceBytes + 1, source.size - start));
    for (let at = piece.indexOf(startOfScan); at >= 0; at = piece.indexOf(startOfScan, at + 2)) count++;
  }
  return count;
}

/** Goes from marker to marker up to the end of the image: what programs append behind it does not count. */
async function countScans(source: ByteSource, from: number): Promise<number> {
  let count = 0;
  let at = from;
  while (count <= maxScans) {
    at = await nextMarker(source, at);
    if (at + 4 > source.size) return count;
    const [, marker, high, low] = await source.read(at, 4);
    if (marker === endOfImage) return count;
    if (marker === startOfScan[1]) count++;
    at += 2 + Math.max(2, high * 256 + low);
  }
  return count;
}

/** Where the next marker stands that has a length or ends the image: in coded data FF stands before 0 and restart markers only (T.81 B.1.1.5). */
async function nextMarker(source: ByteSource, from: number): Promise<number> {
  for (let start = from; start < source.size - 1; start += pieceBytes) {
    const piece = await source.read(start, Math.min(pieceBytes + 1, source.size - start));
    for (let at = piece.indexOf(0xff); at >= 0 && at + 1 < piece.length; at = piece.indexOf(0xff, at + 1)) {
      const marker = piece[at + 1];
      if (marker !== 0 && marker !== 0xff && (marker < 0xd0 || marker > 0xd7)) return start + at;
    }
  }
  return source.size;
}

function tooCostly(file: string, what: string): PlatehandError {
  return new PlatehandError(
    'picture-too-large',
    what,
    'Save it as TIFF or PNG, or as JPEG that is not progressive',
    {
      place: { file },
    },
  );
}
