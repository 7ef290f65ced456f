import type { Readable } from 'node:stream';
import { crc32 } from 'node:zlib';
import { type Entry, fromBufferPromise, openPromise, type ZipFile } from 'yauzl';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { type ByteSource, bufferSource, cutShort, damaged } from './byte-source.js';
import type { ReadLimits } from './read-limits.js';

/** The entries of an archive that was found safe to read, by their exact names. */
export interface Archive {
  /** Its content, or its path where it is too large to be held. */
  readonly input: string | Buffer;
  /** Name for messages. */
  readonly name: string;
  readonly entries: ReadonlyMap<string, Entry>;
}

/** The two methods that OpenRaster allows (file layout specification): stored and deflated. */
const stored = 0;
const deflated = 8;

/** 2000 layers, their folders and thumbnails fit well below. */
const maxEntries = 10_000;

/**
 * A PNG of nothing packs 1000 to 1 in itself and perhaps 100 to 1 once more, but is then small. What is large and packs
 * better than this is made to burst. Common practice, no published source.
 */
const suspicious = { bytes: 4 * 1024 * 1024, ratio: 200 } as const;

/** Permission bits of a symbolic link in the upper half of the external attributes, as Unix archivers write them. */
const fileTypeMask = 0o170000;
const symbolicLink = 0o120000;

/**
 * Lists an archive and refuses it as a whole if any entry is unsafe: a path out of the archive, a doubled name, a link,
 * encryption, a method beyond the format, overlapping data, or sizes out of all proportion. Nothing is inflated here.
 * @throws PlatehandError `archive-unsafe`, `picture-unreadable`
 */
export async function listArchive(
  input: string | Buffer,
  name: string,
  limits: ReadLimits,
): Promise<Archive> {
  return withZip(input, name, async (zip) => {
    const entries = new Map<string, Entry>();
    let total = 0;
    for await (const entry of zip.eachEntry()) {
      checkEntry(entry, name, limits);
      if (entries.has(entry.fileName)) throw unsafe(name, `the name "${entry.fileName}" stands in it twice`);
      entries.set(entry.fileName, entry);
      total += entry.uncompressedSize;
      if (entries.size > maxEntries) throw unsafe(name, `it holds more than ${maxEntries} entries`);
      if (total > limits.maxFileBytes) throw unsafe(name, 'it would unpack to more than is taken in');
    }
    checkOverlap(entries.values(), name);
    return { input, name, entries };
  });
}

function checkEntry(entry: Entry, name: string, limits: ReadLimits): void {
  const called = JSON.stringify(entry.fileName);
  const method = entry.compressionMethod;
  const size = entry.uncompressedSize;
  if (entry.fileName === '' || hasControl(entry.fileName))
    throw unsafe(name, `an entry has the name ${called}`);
  if (entry.isEncrypted()) throw unsafe(name, `the entry ${called} is encrypted`);
  if (method !== stored && method !== deflated) {
    throw unsafe(
      name,
      `the entry ${called} is packed by method ${method}; OpenRaster knows stored and deflated only`,
    );
  }
  if (((entry.externalFileAttributes >>> 16) & fileTypeMask) === symbolicLink) {
    throw unsafe(name, `the entry ${called} is a link`);
  }
  if (size > limits.maxDecodedBytes) throw unsafe(name, `the entry ${called} would unpack to ${size} bytes`);
  if (size > suspicious.bytes && size > suspicious.ratio * entry.compressedSize) {
    throw unsafe(name, `the entry ${called} claims to unpack from ${entry.compressedSize} to ${size} bytes`);
  }
}

function hasControl(text: string): boolean {
  for (let i = 0; i < text.length; i++) {
    if (text.charCodeAt(i) < 32) return true;
  }
  return false;
}

/** Entries that share bytes are how a small archive unpacks to a huge one. A local header takes at least 30 bytes. */
function checkOverlap(entries: Iterable<Entry>, name: string): void {
  const ordered = [...entries].sort((a, b) => a.relativeOffsetOfLocalHeader - b.relativeOffsetOfLocalHeader);
  for (const [index, entry] of ordered.entries()) {
    const next = ordered[index + 1];
    const end = entry.relativeOffsetOfLocalHeader + 30 + entry.compressedSize;
    if (next !== undefined && end > next.relativeOffsetOfLocalHeader) {
      throw unsafe(name, `the entries "${entry.fileName}" and "${next.fileName}" overlap`);
    }
  }
}

/**
 * One entry's content, its CRC-32 verified: where it stands in the archive's own content, or in memory of its own.
 * @throws PlatehandError `picture-unreadable` where it is damaged, `archive-unsafe` where its header lies
 */
export async function readEntry(archive: Archive, entry: Entry): Promise<Buffer> {
  return withZip(archive.input, archive.name, async (zip) => {
    const content = (await storedContent(archive, zip, entry)) ?? (await unpacked(archive, zip, entry));
    if (content.length !== entry.uncompressedSize || crc32(content) !== entry.crc32) {
      throw damaged(
        archive.name,
        `"${entry.fileName}" in the archive is damaged: its checksum does not match`,
      );
    }
    return content;
  });
}

async function unpacked(archive: Archive, zip: ZipFile, entry: Entry): Promise<Buffer> {
  const content = Buffer.allocUnsafe(entry.uncompressedSize);
  let length = 0;
  const stream = await openEntry(zip, entry, archive.name);
  for await (const chunk of stream) length += (chunk as Buffer).copy(content, length);
  return content.subarray(0, length);
}

/** What an entry that is not packed holds, where it stands in the archive's own content; undefined where it has to be read or unpacked. */
async function storedContent(
  { input, name }: Archive,
  zip: ZipFile,
  entry: Entry,
): Promise<Buffer | undefined> {
  if (typeof input === 'string' || entry.compressionMethod !== stored) return undefined;
  const { fileDataStart } = await checkedHeader(zip, entry, name);
  const end = fileDataStart + entry.compressedSize;
  return end > input.length ? undefined : input.subarray(fileDataStart, end);
}

/**
 * Lets `look` read the beginning of an entry and unpacks only as far as it reads. The checksum is not verified.
 */
export async function withEntryHead<Result>(
  archive: Archive,
  entry: Entry,
  look: (source: ByteSource) => Promise<Result>,
): Promise<Result> {
  return withZip(archive.input, archive.name, async (zip) => {
    const stood = await storedContent(archive, zip, entry);
    if (stood !== undefined) return look(bufferSource(stood, archive.name));
    const stream = await openEntry(zip, entry, archive.name);
    try {
      return await look(headSource(stream, entry.uncompressedSize, archive.name));
    } finally {
      stream.destroy();
    }
  });
}

function headSource(stream: Readable, size: number, name: string): ByteSource {
  const chunks = stream[Symbol.asyncIterator]();
  let head = Buffer.alloc(0);
  let known = 0;
  async function read(offset: number, length: number): Promise<Buffer> {
    if (offset + length > size) throw cutShort(name, size);
    while (known < offset + length) {
      const next = await chunks.next();
      if (next.done) throw cutShort(name, known);
      const piece = next.value as Buffer;
      // Twice as much each time, so that a long head is not copied once a piece.
      if (known + piece.length > head.length) head = Buffer.concat([head], 2 * (known + piece.length));
      known += piece.copy(head, known);
    }
    return head.subarray(offset, offset + length);
  }
  return { name, size, read };
}

/** The local header in front of the data must tell the same name as the directory, or one of the two lies. */
async function checkedHeader(zip: ZipFile, entry: Entry, name: string) {
  const local = await zip.readLocalFileHeaderPromise(entry);
  if (!local.fileName.equals(entry.fileNameRaw)) {
    throw unsafe(name, `the entry "${entry.fileName}" has another name in front of its data`);
  }
  return local;
}

async function openEntry(zip: ZipFile, entry: Entry, name: string): Promise<Readable> {
  await checkedHeader(zip, entry, name);
  return zip.openReadStreamPromise(entry);
}

async function withZip<Result>(
  input: string | Buffer,
  name: string,
  work: (zip: ZipFile) => Promise<Result>,
): Promise<Result> {
  let zip: ZipFile | undefined;
  const options = {
    lazyEntries: true,
    autoClose: false,
    decodeStrings: true,
    strictFileNames: true,
    validateEntrySizes: true,
  };
  try {
    zip = await (typeof input === 'string' ? openPromise(input, options) : fromBufferPromise(input, options));
    return await work(zip);
  } catch (error) {
    throw error instanceof PlatehandError ? error : archiveFailure(name, error);
  } finally {
    zip?.close();
  }
}

function archiveFailure(name: string, error: unknown): PlatehandError {
  const message = messageOf(error);
  if (/relative path|absolute path|invalid characters in fileName/.test(message)) {
    return unsafe(name, `it holds a name that leads out of the archive (${message})`);
  }
  return damaged(name, `the archive is damaged or cut short (${message})`, error);
}

function unsafe(name: string, what: string): PlatehandError {
  return new PlatehandError(
    'archive-unsafe',
    `the archive is not safe to open: ${what}`,
    'Save the page again from the program it was painted in; if that is where it comes from, save it as TIFF',
    { place: { file: name } },
  );
}
