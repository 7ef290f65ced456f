/**
 * Joins zlib streams into one without packing anything again. Each has to hold a full flush before its end: what stands before the
 * flush is whole bytes, looks at nothing outside itself, and may be followed by any other such piece.
 * Sources: RFC 1950 section 2.2 (header, Adler-32), RFC 1951 section 3.2.4 (the empty stored block that a flush leaves).
 */

/** Two bytes of header: deflate, window of 32 KB, quickest compression (RFC 1950, section 2.2). */
const header = Uint8Array.of(0x78, 0x01);
/** The end: an empty block with fixed codes, marked as the last (RFC 1951, section 3.2.3). */
const lastBlock = Uint8Array.of(0x03, 0x00);
/** What a flush leaves: an empty stored block after the bits that fill its byte (RFC 1951, section 3.2.4). */
const flushed = Buffer.of(0x00, 0x00, 0xff, 0xff);
const checksumLength = 4;
const tailLength = lastBlock.length + checksumLength;

/** The largest prime below 65536, by which Adler-32 counts (RFC 1950, section 8.2). */
const adlerBase = 65521;

/** A zlib stream with a full flush before its end. */
export interface FlushedStream {
  readonly packed: Uint8Array;
  /** Bytes that it holds, unpacked. */
  readonly bytes: number;
}

/**
 * One zlib stream that holds what all of them hold, in order; its pieces share their memory.
 * @throws Error for a stream without a full flush before its end: a fault of who packed it
 */
export function joined(streams: readonly FlushedStream[]): Uint8Array[] {
  let sums = { low: 1, high: 0 };
  const bodies = streams.map(({ packed, bytes }) => {
    sums = sumsOfBoth(sums, sumsIn(packed), bytes);
    return bodyOf(packed);
  });
  const checksum = Buffer.alloc(checksumLength);
  checksum.writeUInt16BE(sums.high, 0);
  checksum.writeUInt16BE(sums.low, 2);
  return [header, ...bodies, lastBlock, checksum];
}

function bodyOf(packed: Uint8Array): Uint8Array {
  const body = packed.subarray(header.length, -tailLength);
  const last = packed.subarray(-tailLength, -checksumLength);
  const isFlushed =
    flushed.equals(body.subarray(-flushed.length)) && last.every((byte, i) => byte === lastBlock[i]);
  if (!isFlushed) throw new Error('a stream without a flush before its end cannot be joined');
  return body;
}

/** The two sums of Adler-32. */
interface AdlerSums {
  readonly low: number;
  readonly high: number;
}

function sumsIn(packed: Uint8Array): AdlerSums {
  const end = Buffer.from(packed.buffer, packed.byteOffset, packed.length).subarray(-checksumLength);
  return { high: end.readUInt16BE(0), low: end.readUInt16BE(2) };
}

/**
 * Adler-32 of two stretches, one after the other. The low sum begins at 1, so the second brings one too many; every byte of the
 * second counts the low sum of the first once more into the high one.
 */
function sumsOfBoth(first: AdlerSums, second: AdlerSums, secondBytes: number): AdlerSums {
  const before = (first.low - 1 + adlerBase) % adlerBase;
  return {
    low: (before + second.low) % adlerBase,
    high: (first.high + second.high + (secondBytes % adlerBase) * before) % adlerBase,
  };
}
