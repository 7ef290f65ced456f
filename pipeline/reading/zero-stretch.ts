import type { ByteSource } from './byte-source.js';

/** Read in pieces of this size, so that a file of any length costs little memory. */
const pieceBytes = 1024 * 1024;

/**
 * Whether a run of `length` zero bytes stands anywhere in a stretch of a file. Room that was reserved for a copy and
 * never filled looks like this; so do bad sectors.
 */
export async function hasZeroRun(
  source: ByteSource,
  from: number,
  to: number,
  length: number,
): Promise<boolean> {
  const run = Buffer.alloc(length);
  // Pieces overlap by the length of the run, less one byte, so that none is missed between two of them.
  for (let at = from; at + length <= to; at += pieceBytes) {
    const piece = await source.read(at, Math.min(pieceBytes + length - 1, to - at));
    if (piece.includes(run)) return true;
  }
  return false;
}

/** Disks and copies lose whole sectors: the smallest in use, in bytes. */
const sectorBytes = 512;

/**
 * Whether a run of at least `least` zero bytes fills whole sectors of the file, from the first byte of one to the last of another, as
 * what a disk or a copy has lost does. Zeros that somebody wrote begin and end anywhere.
 */
export async function hasZeroSectors(
  source: ByteSource,
  from: number,
  to: number,
  least: number,
): Promise<boolean> {
  let length = 0;
  const isLost = (end: number) => {
    return length >= least && (end - length) % sectorBytes === 0 && end % sectorBytes === 0;
  };
  for (let start = from; start < to; start += pieceBytes) {
    const piece = await source.read(start, Math.min(pieceBytes, to - start));
    for (let i = 0; i < piece.length; i++) {
      if (piece[i] === 0) length++;
      else {
        if (length > 0 && isLost(start + i)) return true;
        length = 0;
      }
    }
  }
  return isLost(to);
}

/**
 * How many zero bytes a stretch of a file ends in. Only the end is read where it is not zero.
 * @param from where the stretch begins
 * @param to where it ends, not included
 */
export async function zeroTail(source: ByteSource, from: number, to: number): Promise<number> {
  const piece = 32 * 1024;
  for (let end = to; end > from; end -= piece) {
    const start = Math.max(from, end - piece);
    const bytes = await source.read(start, end - start);
    for (let i = bytes.length - 1; i >= 0; i--) {
      if (bytes[i] !== 0) return to - (start + i + 1);
    }
  }
  return to - from;
}
