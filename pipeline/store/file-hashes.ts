import { join } from 'node:path';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { identityOf, sameIdentity } from '../files/file-identity.js';
import type { FileIdentity } from '../model/page-request.js';
import { hashFile } from '../reading/hash-file.js';
import { checkFileSize } from '../reading/read-limits.js';

/** What is known of a file's content without reading it again. */
interface KnownHash extends FileIdentity {
  readonly sha256: string;
}

export interface FileFacts {
  readonly bytes: number;
  readonly mtimeMs: number;
  readonly sha256: string;
  /** The file as it was before it was read. */
  readonly seen: FileIdentity;
}

/**
 * Checksums of working files, remembered by size, times and inode, so that an unchanged issue is recognised without
 * reading it. A file as young as the clock's own grain is read each time: it could change once more unnoticed.
 */
export class FileHashes {
  private changed = false;

  private constructor(
    private readonly path: string,
    private readonly known: Map<string, KnownHash>,
  ) {}

  static async open(jobFolder: string): Promise<FileHashes> {
    const path = join(jobFolder, '.platehand', 'hashes.json');
    let known: Record<string, KnownHash> = {};
    try {
      known = JSON.parse((await readRegular(path)).toString('utf8')) as Record<string, KnownHash>;
    } catch {
      // None yet, or unreadable: the files are read again.
    }
    return new FileHashes(path, new Map(Object.entries(known)));
  }

  /**
   * Checksum of a file's bytes, by reading it only if it may have changed.
   * @param listed the file as a listing has just seen it; where its checksum is known, nothing more is asked
   * @throws PlatehandError `picture-too-large` before a byte of it is read, `picture-unreadable`
   */
  async of(file: string, listed?: FileIdentity): Promise<FileFacts> {
    const before = listed && this.without(file, listed);
    if (listed !== undefined && before !== undefined) return factsOf(listed, before);
    const seen = await identityOf(file);
    checkFileSize(seen.bytes, file);
    const known = this.without(file, seen);
    if (known !== undefined) return factsOf(seen, known);
    const { sha256 } = await hashFile(file);
    if (sameIdentity(seen, await identityOf(file))) this.learn(file, seen, sha256);
    return factsOf(seen, sha256);
  }

  /** Checksum of a file's bytes as far as it is known without reading it. */
  without(file: string, seen: FileIdentity): string | undefined {
    const known = this.known.get(file);
    return known !== undefined && sameIdentity(known, seen) ? known.sha256 : undefined;
  }

  /**
   * Remembers a checksum that somebody else took.
   * @param seen the file as it was before it was read, and still is
   */
  learn(file: string, seen: FileIdentity, sha256: string): void {
    if (Date.now() - Math.max(seen.mtimeMs, seen.ctimeMs) <= grainMs) return;
    this.known.set(file, { ...seen, sha256 });
    this.changed = true;
  }

  /** Forgets files that are not among these any more. */
  keepOnly(files: ReadonlySet<string>): void {
    for (const file of this.known.keys()) {
      if (files.has(file)) continue;
      this.known.delete(file);
      this.changed = true;
    }
  }

  /** Keeps what was learned, for the next run. */
  async save(jobFolder: string): Promise<void> {
    if (!this.changed) return;
    await makeFolder(join(jobFolder, '.platehand'));
    const sorted = Object.fromEntries([...this.known].sort(([a], [b]) => (a < b ? -1 : 1)));
    await writeWhole(this.path, Buffer.from(`${JSON.stringify(sorted, null, 2)}\n`));
    this.changed = false;
  }
}

function factsOf(seen: FileIdentity, sha256: string): FileFacts {
  return { bytes: seen.bytes, mtimeMs: seen.mtimeMs, sha256, seen };
}

/** Coarsest time stamp among common file systems (FAT: two seconds). */
const grainMs = 2000;
