import { createHash } from 'node:crypto';
import { type FileHandle, open } from 'node:fs/promises';
import { openRegular } from '../../config/regular-file.js';
import { writeFailed } from '../files/disk-trouble.js';
import type { FileHash } from '../reading/hash-file.js';

/** Files that are copied while their checksum is taken, so that no byte is read twice and none goes by unchecked. */

/** How trouble of one side is told, so that people look at the right disk. */
export type Told = (thrown: unknown) => unknown;

/** Read at a time. */
const pieceBytes = 1 << 20;

/** The bytes of a file from its beginning, in pieces that are good until the next is asked for. */
export async function* piecesOf(path: string, told: Told): AsyncGenerator<Buffer> {
  const { handle } = await openRegular(path).catch((thrown: unknown) => {
    throw told(thrown);
  });
  const piece = Buffer.allocUnsafe(pieceBytes);
  try {
    for (;;) {
      const { bytesRead } = await handle.read(piece, 0, piece.length, null).catch((thrown: unknown) => {
        throw told(thrown);
      });
      if (bytesRead === 0) return;
      yield piece.subarray(0, bytesRead);
    }
  } finally {
    await handle.close();
  }
}

/**
 * Writes pieces into a new file down to the disk, which must not be there yet.
 * @param told how trouble of the file is told; trouble of the pieces comes through as it is
 * @returns what was written
 */
export async function writeHashed(
  path: string,
  pieces: AsyncIterable<Uint8Array>,
  told: Told = (thrown) => writeFailed(path, thrown),
): Promise<FileHash> {
  const tell = (thrown: unknown) => {
    throw told(thrown);
  };
  const handle = await open(path, 'wx').catch(tell);
  const hash = createHash('sha256');
  let bytes = 0;
  try {
    for await (const piece of pieces) {
      hash.update(piece);
      await writeAll(handle, piece).catch(tell);
      bytes += piece.length;
    }
    await handle.sync().catch(tell);
  } finally {
    await handle.close().catch(tell);
  }
  return { sha256: hash.digest('hex'), bytes };
}

async function writeAll(handle: FileHandle, piece: Uint8Array): Promise<void> {
  for (let at = 0; at < piece.length; ) {
    at += (await handle.write(piece, at, piece.length - at)).bytesWritten;
  }
}

/** Whether two files have the same bytes, by their checksums. */
export function isSameContent(one: FileHash, other: FileHash): boolean {
  return one.sha256 === other.sha256 && one.bytes === other.bytes;
}
