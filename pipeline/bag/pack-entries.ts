import { readRegular } from '../../config/regular-file.js';
import { type BagEntry, belowData, type EntrySource, entryChanged, entryUnreadable } from './bag-entries.js';
import { openZipWriter, type Sum, type ZipWriter } from './zip-writer.js';

/**
 * Up to this size an entry is written in one piece, because its local header can then hold its CRC and length: readers
 * that take a ZIP as a stream, as upload portals do, refuse stored entries without them. Larger ones are streamed.
 */
const wholeEntryBytes = 256 * 1024 * 1024;

/** Where the bytes of an entry are just now, and how to let go of them once they are packed. */
export interface OpenedEntry {
  readonly source: EntrySource;
  readonly release?: () => void;
}

/** What is to be packed into a ZIP. */
export interface PackedBag<E extends BagEntry> {
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly day: string;
  /** In their order. */
  readonly entries: readonly E[];
  /** Finds an entry's bytes, which are then held against its size and checksum. */
  readonly open: (entry: E) => Promise<OpenedEntry>;
}

/**
 * Packs the files of a bag into a ZIP, one after the other.
 * @param partPath where it is written; nothing may be there
 * @param target the name that messages speak of
 * @returns size and SHA-256 of the ZIP
 * @throws PlatehandError bundle-failed (a source is gone or has changed), write-failed; whatever `open` throws
 */
export async function packEntries<E extends BagEntry>(
  partPath: string,
  target: string,
  { day, entries, open }: PackedBag<E>,
): Promise<Sum> {
  const zip = await openZipWriter(partPath, target, day);
  try {
    for (const entry of entries) {
      const { source, release } = await open(entry);
      try {
        await addEntry(zip, entry, source);
      } finally {
        release?.();
      }
    }
    return await zip.finish();
  } catch (thrown) {
    await zip.abandon();
    throw thrown;
  }
}

async function addEntry(zip: ZipWriter, entry: BagEntry, source: EntrySource): Promise<void> {
  const { bytes, sha256 } = await added(zip, entry, source);
  if (bytes !== entry.bytes || sha256 !== entry.sha256) throw entryChanged(belowData(entry.path), source);
}

async function added(zip: ZipWriter, { path, bytes }: BagEntry, source: EntrySource): Promise<Sum> {
  if ('bytes' in source) return { bytes: source.bytes.length, sha256: await zip.add(path, source.bytes) };
  if (bytes > wholeEntryBytes) return zip.addFile(path, source.file);
  const whole = await readRegular(source.file).catch((thrown: unknown) => {
    throw entryUnreadable({ path: belowData(path), source }, thrown);
  });
  return { bytes: whole.length, sha256: await zip.add(path, whole) };
}
