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
