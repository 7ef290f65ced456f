import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { messageOf, PlatehandError } from '../../config/errors.js';

/** What identifies a file's content: SHA-256 (FIPS 180-4) in lower case hexadecimal, and its length. */
export interface FileHash {
  readonly sha256: string;
  readonly bytes: number;
}

/**
 * Reads a file once, piece by piece, so that a page of any size costs no memory.
 * @throws PlatehandError `picture-unreadable` where the file cannot be opened or read to its end
 */
export async function hashFile(path: string): Promise<FileHash> {
  const hash = createHash('sha256');
  let bytes = 0;
  try {
    for await (const chunk of createReadStream(path, { highWaterMark: 1 << 20 })) {
      hash.update(chunk);
      bytes += chunk.length;
    }
  } catch (error) {
    throw new PlatehandError(
      'picture-unreadable',
      `the file cannot be read (${messageOf(error)})`,
      'Check that it is still there and that you may read it',
      { place: { file: path }, cause: error },
    );
  }
  return { sha256: hash.digest('hex'), bytes };
}
