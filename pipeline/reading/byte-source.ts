import type { FileHandle } from 'node:fs/promises';
import { PlatehandError } from '../../config/errors.js';
import { counted } from '../../config/figures.js';

/** Bytes that can be looked at anywhere without holding all of them: an open file, or a buffer. */
export interface ByteSource {
  /** Name for messages. */
  readonly name: string;
  readonly size: number;
  /**
   * Exactly these bytes.
   * @throws PlatehandError `picture-unreadable` where they lie beyond the end: the file is cut short
   */
  readonly read: (offset: number, length: number) => Promise<Buffer>;
}

/** Headers are read in many small bites that lie close together; one block of this size serves most of them. */
const blockBytes = 64 * 1024;

/** An open file. The caller closes the handle. */
export function fileSource(handle: FileHandle, size: number, name: string): ByteSource {
  let block: Buffer = Buffer.alloc(0);
  let blockAt = 0;
  async function read(offset: number, length: number): Promise<Buffer> {
    checkInside(offset, length, size, name);
    if (length > blockBytes) return readAll(handle, offset, length, name);
    if (offset < blockAt || offset + length > blockAt + block.length) {
      block = await readAll(handle, offset, Math.min(blockBytes, size - offset), name);
      blockAt = offset;
    }
    return block.subarray(offset - blockAt, offset - blockAt + length);
  }
  return { name, size, read };
}

/** Bytes in memory. */
export function bufferSource(bytes: Buffer, name: string): ByteSource {
  async function read(offset: number, length: number): Promise<Buffer> {
    checkInside(offset, length, bytes.length, name);
    return bytes.subarray(offset, offset + length);
  }
  return { name, size: bytes.length, read };
}

async function readAll(handle: FileHandle, offset: number, length: number, name: string): Promise<Buffer> {
  const bytes = Buffer.alloc(length);
  let got = 0;
  while (got < length) {
    const { bytesRead } = await handle.read(bytes, got, length - got, offset + got);
    if (bytesRead === 0) throw cutShort(name, offset + got);
    got += bytesRead;
  }
  return bytes;
}

function checkInside(offset: number, length: number, size: number, name: string): void {
  if (!(offset >= 0 && length >= 0 && offset + length <= size)) throw cutShort(name, size);
}

/** The refusal of a file that points beyond its own end. */
export function cutShort(name: string, size: number): PlatehandError {
  return new PlatehandError(
    'picture-unreadable',
    `the file is cut short: it ends after ${counted(size, 'byte')}, though more is announced in it`,
    'Copy it again and wait until the copy is complete; if that does not help, save it again',
    { place: { file: name } },
  );
}

/** The refusal of a file that contradicts itself or its format. */
export function damaged(name: string, what: string, cause?: unknown): PlatehandError {
  return new PlatehandError(
    'picture-unreadable',
    what,
    'Copy it again, in case the copy broke off; if that does not help, save it again',
    { place: { file: name }, cause },
  );
}

/** The refusal of a sound file of a kind that is not taken in. */
export function unsupported(name: string, what: string, remedy: string): PlatehandError {
  return new PlatehandError('picture-unsupported', what, remedy, { place: { file: name } });
}
