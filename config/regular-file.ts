import { constants } from 'node:fs';
import { type FileHandle, open, stat } from 'node:fs/promises';

/**
 * Opening files that people or programs have put somewhere: a pipe or a device may stand in their place, and opening or reading those may
 * never end. Whoever waits for one holds a thread that nobody can end.
 */

/** A folder, a pipe, a socket or a device where a file is expected: these have no end, or wait for somebody who never comes. */
export class NotAFileError extends Error {
  constructor() {
    super('it is not a file');
    this.name = 'NotAFileError';
  }
}

/** Opening waits for nobody; systems that have no such word have no pipes among files either. */
export const openFlags = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);

/**
 * Opens a file for reading, and nothing else: folders, pipes, sockets and devices are refused without waiting for them.
 * @returns the open file, which the caller closes, and its size in bytes
 * @throws NotAFileError, or the system's error
 */
export async function openRegular(
  path: string,
): Promise<{ readonly handle: FileHandle; readonly size: number }> {
  // Opening a device may already do something to it, so it is looked at first, and again once it cannot be exchanged any more.
  if (!(await stat(path)).isFile()) throw new NotAFileError();
  const handle = await open(path, openFlags);
  try {
    const facts = await handle.stat();
    if (!facts.isFile()) throw new NotAFileError();
    return { handle, size: facts.size };
  } catch (thrown) {
    await handle.close();
    throw thrown;
  }
}

/** What platehand writes for itself is far smaller: 18 000 files and 2 000 pages make lists of some 10 MB. */
export const largestOwnFileBytes = 512 * 2 ** 20;

/** More than a file of the expected kind may have. */
export class TooManyBytesError extends Error {
  /** @param bytes what it has, at least */
  constructor(readonly bytes: number) {
    super(`it has ${bytes} bytes`);
    this.name = 'TooManyBytesError';
  }
}

/**
 * Reads a file of a bounded size. One that is larger is refused before a byte of it is read, one that grows meanwhile as soon as it has
 * grown too large.
 * @param mostBytes the most that it may have; default what platehand's own files may have
 * @throws TooManyBytesError, NotAFileError, or the system's error
 */
export async function readRegular(path: string, mostBytes = largestOwnFileBytes): Promise<Buffer> {
  const { handle, size } = await openRegular(path);
  try {
    if (size > mostBytes) throw new TooManyBytesError(size);
    // Some files state no size (of the system's own): they are read to their end, and no further than they may.
    let bytes = Buffer.allocUnsafe(size + 1);
    let length = 0;
    for (;;) {
      const { bytesRead } = await handle.read(bytes, length, bytes.length - length, length);
      if (bytesRead === 0) return bytes.subarray(0, length);
      length += bytesRead;
      if (length === size && size > 0) return bytes.subarray(0, length);
      if (length > mostBytes) throw new TooManyBytesError(length);
      if (length === bytes.length) bytes = Buffer.concat([bytes], Math.min(2 * length, mostBytes + 1));
    }
  } finally {
    await handle.close();
  }
}
