import { createHash } from 'node:crypto';
import type { EventEmitter } from 'node:events';
import { createReadStream, createWriteStream } from 'node:fs';
import { extname } from 'node:path';
import { Transform, type Writable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { writeFailed } from '../files/disk-trouble.js';

/**
 * Writes a ZIP entry by entry, so that the same entries give the same bytes, and so that every failure is seen: the
 * library by itself reports a full disk or a source that breaks off as a warning, or never ends.
 */

const entryMode = 0o644;
/** Packed by their own formats already; deflating them again costs time and gains nothing. */
const packedExtensions = new Set(['.tif', '.tiff', '.png', '.jpg', '.jpeg', '.zip', '.ora']);
const readBytes = 1024 * 1024;

export interface ZipWriter {
  /** Adds one entry in one piece and returns its SHA-256 in hex. */
  readonly add: (name: string, bytes: Uint8Array) => Promise<string>;
  /** Adds one entry from a file, read piece by piece; returns its size and its SHA-256 in hex. */
  readonly addFile: (name: string, file: string) => Promise<Sum>;
  /** Writes the directory and closes the file; returns size and SHA-256 of the whole ZIP. */
  readonly finish: () => Promise<Sum>;
  /** Stops and closes the file, whatever state it is in. */
  readonly abandon: () => Promise<void>;
}

export interface Sum {
  readonly bytes: number;
  readonly sha256: string;
}

/**
 * Opens a new ZIP at `partPath`. Entries are added one after the other: await each before the next.
 * Every method rejects with PlatehandError write-failed or bundle-failed as soon as anything has gone wrong.
 * @param target the name that messages speak of
 * @param day `YYYY-MM-DD`: every entry is dated at its midnight. A ZIP holds no zone (APPNOTE 4.4.6), so whoever unpacks it
 *   sees that day wherever they are
 */
export async function openZipWriter(partPath: string, target: string, day: string): Promise<ZipWriter> {
  // The library writes the figures that the time has in UTC.
  const entryTime = new Date(`${day}T00:00:00Z`);
  const { archive, tally, stop, broken, written } = await openStreams(partPath, target);
  const append = async (name: string, source: Buffer | Transform, store: boolean): Promise<void> => {
    const taken = new Promise((done) => archive.once('entry', done));
    archive.append(source, { name, date: entryTime, mode: entryMode, store });
    await Promise.race([taken, broken]);
  };
  return {
    add: async (name, bytes) => {
      const before = tally.bytes;
      const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
      // An empty entry that is deflated would come out as stored, but in the form that streaming readers refuse.
      const store = isPacked(name) || bytes.length === 0;
      await append(name, buffer, store);
      // The library takes a buffer without waiting for the disk; without this, all of them would pile up.
      if (store) await Promise.race([tally.reached(before + bytes.length), broken]);
      return createHash('sha256').update(bytes).digest('hex');
    },
    addFile: async (name, file) => {
      const source = new Tally();
      const readFailed = readInto(source, file);
      await Promise.race([append(name, source, isPacked(name)), readFailed]);
      return source.sum();
    },
    finish: async () => {
      await Promise.race([archive.finalize(), broken]);
      await Promise.race([written, broken]);
      return tally.sum();
    },
    abandon: async () => {
      archive.abort();
      stop.abort();
      await written.catch(() => undefined);
    },
  };
}

/** The library's archive, flowing through a tally into the file. */
async function openStreams(partPath: string, target: string) {
  // Loaded only when there is something to pack: it takes longer to start than looking through an unchanged issue.
  const { ZipArchive } = await import('archiver');
  const archive = new ZipArchive({ zlib: { level: 9 } });
  const tally = new Tally();
  const stop = new AbortController();
  const sink = createWriteStream(partPath, { flags: 'wx' });
  const broken = firstFailure(sink, archive, target);
  const written = pipeline(archive, tally, sink, { signal: stop.signal });
  // Both are awaited where they matter; until then a rejection is no stray one.
  broken.catch(() => undefined);
  written.catch(() => undefined);
  return { archive, tally, stop, broken, written };
}

/** Rejects with what goes wrong first, on the disk or in the library; never resolves. */
function firstFailure(sink: Writable, archive: EventEmitter, target: string): Promise<never> {
  return new Promise<never>((_, fail) => {
    // The disk's own error comes first; the library then repeats it as if it were its own.
    sink.once('error', (thrown) => fail(writeFailed(target, thrown)));
    const refuse = (thrown: unknown): void => fail(packingFailed(target, thrown));
    archive.on('error', refuse).on('warning', refuse);
  });
}

/** Reads a file into a source piece by piece; rejects where it cannot be read, and never resolves. */
function readInto(source: Tally, file: string): Promise<never> {
  return pipeline(createReadStream(file, { highWaterMark: readBytes }), source).then(
    () => new Promise<never>(() => undefined),
    (thrown: unknown) => Promise.reject(packingFailed(file, thrown)),
  );
}

function isPacked(name: string): boolean {
  return packedExtensions.has(extname(name).toLowerCase());
}

/** Lets bytes through, counting and summing them. */
class Tally extends Transform {
  bytes = 0;
  readonly #hash = createHash('sha256');
  #waiting: { readonly bytes: number; readonly done: () => void } | undefined;

  override _transform(
    chunk: Uint8Array,
    _encoding: string,
    done: (error: null, out: Uint8Array) => void,
  ): void {
    this.bytes += chunk.length;
    this.#hash.update(chunk);
    if (this.#waiting !== undefined && this.bytes >= this.#waiting.bytes) this.#waiting.done();
    done(null, chunk);
  }

  /** Resolves once at least so many bytes went through. */
  async reached(bytes: number): Promise<void> {
    if (this.bytes >= bytes) return;
    await new Promise<void>((done) => {
      this.#waiting = { bytes, done };
    });
  }

  sum(): Sum {
    return { bytes: this.bytes, sha256: this.#hash.digest('hex') };
  }
}

function packingFailed(file: string, thrown: unknown): PlatehandError {
  const what = `The bundle could not be packed: ${messageOf(thrown)}`;
  return new PlatehandError('bundle-failed', what, 'Run the pages again, then deliver.', {
    place: { file },
    cause: thrown,
  });
}
