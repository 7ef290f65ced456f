import { stat } from 'node:fs/promises';
import type { Readable } from 'node:stream';
import { crc32 } from 'node:zlib';
import { type Entry, fromBufferPromise, openPromise, type ZipFile } from 'yauzl';
import { messageOf } from '../../config/errors.js';
import { readRegular } from '../../config/regular-file.js';
import type { BagFile, Listing } from './bag-listing.js';
import { askAgain, type BagNote, NoteList } from './bag-notes.js';

/**
 * Lists a ZIP without unpacking it and reads its entries with everything checked that the library leaves open:
 * the CRC, entries that appear twice, links, and archives made to swell.
 */

/** More entries than any delivery has; keeps a hostile list from filling the memory. */
const maxEntries = 100_000;
/** Up to here an archive may unpack to any multiple of its size. */
const freeBytes = 1024 ** 3;
/** Beyond that, this many times the archive's size; deflate itself ends at 1032:1 (zlib's technical notes). */
const maxSwell = 100;

const unixTypeMask = 0o170000;
const unixFile = 0o100000;
const unixFolder = 0o040000;
const unixLink = 0o120000;

/** Never throws for what is in the file: a damaged or hostile archive is a listing with problems. */
export async function listZip(path: string): Promise<Listing> {
  const files = new Map<string, BagFile>();
  const folders = new Set<string>();
  const problems = new NoteList('problem');
  let zip: ZipFile | undefined;
  try {
    zip = await openZip(path);
    // A late error of the open file belongs to the read that meets it.
    zip.on('error', () => undefined);
    const archiveBytes = (await stat(path)).size;
    await listEntries(zip, archiveBytes, { files, folders, problems });
  } catch (thrown) {
    const what = `The archive is damaged or unsafe: ${messageOf(thrown).replace(/\.$/, '')}`;
    problems.push({ code: 'archive-unreadable', what, remedy: askAgain });
  }
  return { files, folders, problems, close: () => zip?.close() };
}

/** Up to here an archive is read into memory: thousands of small entries would each be read from the disk in several bites. */
const wholeArchiveBytes = 64 * 1024 * 1024;

async function openZip(path: string): Promise<ZipFile> {
  const options = { autoClose: false, strictFileNames: true };
  if ((await stat(path)).size > wholeArchiveBytes) return openPromise(path, options);
  return fromBufferPromise(await readRegular(path, wholeArchiveBytes), options);
}

interface Found {
  readonly files: Map<string, BagFile>;
  readonly folders: Set<string>;
  readonly problems: NoteList;
}

async function listEntries(zip: ZipFile, archiveBytes: number, found: Found): Promise<void> {
  if (zip.entryCount > maxEntries) throw new Error(`it claims ${zip.entryCount} entries`);
  const seen = new Set<string>();
  let packed = 0;
  let unpacked = 0;
  for await (const entry of zip.eachEntry()) {
    packed += entry.compressedSize;
    unpacked += entry.uncompressedSize;
    // Entries that share their bytes are the way to an archive that unpacks to far more than its size.
    if (packed > archiveBytes) throw new Error('its entries claim more bytes than it has');
    if (unpacked > Math.max(freeBytes, archiveBytes * maxSwell)) {
      throw new Error(`it would unpack to more than ${maxSwell} times its size`);
    }
    if (seen.has(entry.fileName)) {
      found.problems.push(note('entry-twice', entry.fileName, 'It is in the archive twice'));
      continue;
    }
    seen.add(entry.fileName);
    takeEntry(zip, entry, found);
  }
}

function takeEntry(zip: ZipFile, entry: Entry, found: Found): void {
  const { fileName } = entry;
  const type = (entry.externalFileAttributes >>> 16) & unixTypeMask;
  const trouble = troubleWith(entry, type);
  if (trouble !== undefined) {
    found.problems.push(note('entry-unsafe', fileName, trouble));
  } else if (fileName.endsWith('/')) {
    found.folders.add(fileName.slice(0, -1));
  } else {
    found.files.set(fileName, { size: entry.uncompressedSize, read: (take) => readEntry(zip, entry, take) });
  }
}

function troubleWith(entry: Entry, type: number): string | undefined {
  const name = entry.fileName;
  if (name === '' || name.includes('\0')) return 'Its name is empty or holds a NUL character';
  if (
    name
      .split('/')
      .slice(0, -1)
      .some((step) => step === '' || step === '.')
  )
    return 'Its path holds an empty step';
  if (type === unixLink) return 'It is a link, which may lead out of the bag';
  if (type !== 0 && type !== unixFile && type !== unixFolder) return 'It is no plain file';
  if (entry.isEncrypted()) return 'It is encrypted';
  if (entry.compressionMethod !== 0 && entry.compressionMethod !== 8) {
    return `It is packed by method ${entry.compressionMethod}; only stored and deflated are read`;
  }
  return undefined;
}

function note(code: string, path: string, what: string): BagNote {
  return { code, path, what, remedy: askAgain };
}

/** Reads one entry; the library checks its length, this its name in the local header and its CRC. */
async function readEntry(zip: ZipFile, entry: Entry, take: (chunk: Uint8Array) => void): Promise<void> {
  const local = await zip.readLocalFileHeaderPromise(entry);
  if (!local.fileName.equals(entry.fileNameRaw)) {
    throw new Error('the archive names it differently in its two places');
  }
  let crc = 0;
  let length = 0;
  await consume(await zip.openReadStreamPromise(entry), (chunk) => {
    crc = crc32(chunk, crc);
    length += chunk.length;
    take(chunk);
  });
  if (length !== entry.uncompressedSize)
    throw new Error(`it has ${length} bytes instead of ${entry.uncompressedSize}`);
  if (crc !== entry.crc32) throw new Error('its CRC does not match');
}

/** The library's streams report errors by event alone, so they are listened to rather than iterated. */
function consume(stream: Readable, take: (chunk: Uint8Array) => void): Promise<void> {
  return new Promise((done, failed) => {
    stream.on('data', take);
    stream.once('end', done);
    stream.once('error', failed);
  });
}
