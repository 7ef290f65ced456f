import { createHash } from 'node:crypto';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { openRegular } from '../../config/regular-file.js';
import type { PageArena } from '../kernels/page-arena.js';
import { checkFileSize } from './read-limits.js';

/** What identifies a file's content: SHA-256 (FIPS 180-4) in lower case hexadecimal, and its length. */
export interface FileHash {
  readonly sha256: string;
  readonly bytes: number;
}

/** Read at a time. */
const pieceBytes = 1 << 20;

/**
 * Files up to this size are read into memory as a whole, once, and everything is made from there: an uncompressed page at
 * 600 ppi is as large. Larger ones are read piece by piece, and again when they are decoded.
 */
export const wholeFileBytes = 96 * 2 ** 20;

/**
 * Reads a file once, piece by piece, so that a page of any size costs no memory.
 * @throws PlatehandError `picture-unreadable` where the file cannot be opened or read to its end
 */
export async function hashFile(path: string): Promise<FileHash> {
  const piece = Buffer.allocUnsafe(pieceBytes);
  const { sha256, bytes } = await readThrough(path, () => piece);
  return { sha256, bytes };
}

/**
 * Reads a file and takes its checksum on the way.
 * @returns its content as well, allocated in the arena, unless it is too large to be held
 * @throws PlatehandError `picture-unreadable` where the file cannot be opened or read to its end, `picture-too-large` before a byte of
 *   it is read
 */
export async function readHashed(
  path: string,
  arena: PageArena,
): Promise<FileHash & { readonly content: Buffer | undefined }> {
  let content: Buffer | undefined;
  const piece = Buffer.allocUnsafe(pieceBytes);
  const found = await readThrough(path, (at, size) => {
    checkFileSize(size, path);
    if (size > wholeFileBytes) return piece;
    content ??= arena.allocateBuffer(size);
    return at < size ? content.subarray(at, at + pieceBytes) : piece;
  });
  // What grew meanwhile is not whole here; the look at the file after the work tells.
  return { ...found, content: content?.length === found.bytes ? content : undefined };
}

/** @param pieceAt where the piece at this place of a file of that size is to go */
async function readThrough(path: string, pieceAt: (at: number, size: number) => Buffer): Promise<FileHash> {
  const hash = createHash('sha256');
  let bytes = 0;
  try {
    const { handle, size } = await openRegular(path);
    try {
      for (;;) {
        const piece = pieceAt(bytes, size);
        const { bytesRead } = await handle.read(piece, 0, piece.length, bytes);
        if (bytesRead === 0) break;
        hash.update(piece.subarray(0, bytesRead));
        bytes += bytesRead;
      }
    } finally {
      await handle.close();
    }
  } catch (error) {
    throw cannotRead(path, error);
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** The refusal of a file that cannot be opened or read to its end; one that is a refusal already comes through. */
export function cannotRead(path: string, thrown: unknown): PlatehandError {
  if (thrown instanceof PlatehandError) return thrown;
  return new PlatehandError(
    'picture-unreadable',
    `the file cannot be read (${messageOf(thrown)})`,
    'Check that it is still there and that you may read it',
    { place: { file: path }, cause: thrown },
  );
}

/** SHA-256 of bytes in memory, in lower case hexadecimal. */
export function sha256Of(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
