import { type FileHandle, open } from 'node:fs/promises';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { firstOwn, pageObject } from './page-file.js';

/**
 * Reads what `pagePdf` wrote, for putting many pages into one file: dictionaries as text, and where streams lie. Nothing is
 * unpacked. It reads no PDF of anybody else.
 */

/** A stretch of a file. */
export interface Stretch {
  readonly from: number;
  readonly length: number;
}

/** An object as it stands in the file. */
export interface ReadObject {
  /** Everything but a stream's bytes. */
  readonly content: string;
  /** Its bytes, where it is a stream. */
  readonly stream: Stretch | undefined;
}

/** A page's file. */
export interface ReadPage {
  readonly path: string;
  /** The page itself, and what it alone needs in the order of their numbers. */
  readonly page: ReadObject;
  readonly own: readonly ReadObject[];
  readonly intent: ReadObject;
  readonly profile: ReadObject;
  /** What the file is called in its trailer, in hex. */
  readonly identity: string;
  /** The day that it states, `YYYY-MM-DD`. */
  readonly day: string;
}

/** The trailer of a page's file with its table is shorter: some twenty objects of 20 bytes each. */
const tailBytes = 8192;
/** Longer than any dictionary of a page. */
const headBytes = 8192;

/** @throws PlatehandError `pdf-unreadable` for a file that `pagePdf` did not write, or that is not whole */
export async function readPagePdf(path: string): Promise<ReadPage> {
  try {
    const file = await open(path, 'r');
    try {
      return await readPage(file, path);
    } finally {
      await file.close();
    }
  } catch (thrown) {
    const what = `This page cannot be put into the PDF of the issue: ${messageOf(thrown)}`;
    throw new PlatehandError('pdf-unreadable', what, 'Run the pages again.', {
      place: { file: path },
      cause: thrown,
    });
  }
}

async function readPage(file: FileHandle, path: string): Promise<ReadPage> {
  const { size } = await file.stat();
  const tail = await textAt(file, Math.max(0, size - tailBytes), tailBytes);
  const offsets = [...tail.matchAll(/^(\d{10}) 00000 n $/gm)].map(([, offset]) => Number(offset));
  const read = await Promise.all(offsets.map((offset) => readObject(file, offset)));
  const numbered = (id: number) => given(read[id - 1], `object ${id}`);
  const { content: info } = numbered(pageObject.info);
  const [, year, month, day] = given(
    info.match(/\/CreationDate \(D:(\d{4})(\d{2})(\d{2})/) ?? undefined,
    'a date',
  );
  const [, identity] = given(tail.match(/\/ID \[<([0-9A-F]+)>/) ?? undefined, 'an identifier');
  return {
    path,
    page: numbered(pageObject.page),
    own: read.slice(firstOwn - 1),
    intent: numbered(pageObject.intent),
    profile: numbered(pageObject.profile),
    identity,
    day: `${year}-${month}-${day}`,
  };
}

async function readObject(file: FileHandle, offset: number): Promise<ReadObject> {
  const head = await textAt(file, offset, headBytes);
  const begin = given(head.match(/^\d+ 0 obj\n/) ?? undefined, 'an object')[0].length;
  const streamAt = head.indexOf('\nstream\n');
  const endAt = head.indexOf('\nendobj\n');
  if (endAt >= 0 && (streamAt < 0 || endAt < streamAt))
    return { content: head.slice(begin, endAt), stream: undefined };
  if (streamAt < 0) throw new Error('an object has no end');
  const content = head.slice(begin, streamAt);
  const length = Number(given(content.match(/\/Length (\d+) >>$/) ?? undefined, 'a length')[1]);
  return { content, stream: { from: offset + streamAt + '\nstream\n'.length, length } };
}

async function textAt(file: FileHandle, from: number, length: number): Promise<string> {
  const { buffer, bytesRead } = await file.read(Buffer.alloc(length), 0, length, from);
  return buffer.toString('latin1', 0, bytesRead);
}

function given<T>(found: T | undefined, what: string): T {
  if (found === undefined) throw new Error(`${what} is not where it should be`);
  return found;
}
