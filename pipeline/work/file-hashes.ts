import { mkdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { writeWhole } from '../files/atomic.js';
import { hashFile } from '../reading/hash-file.js';

/** What is known of a file's content without reading it again. */
interface KnownHash {
  readonly bytes: number;
  readonly mtimeMs: number;
  readonly inode: number;
  readonly sha256: string;
}

export interface FileFacts {
  readonly bytes: number;
  readonly mtimeMs: number;
  readonly sha256: string;
}

/**
 * Checksums of working files, remembered by size, time and inode, so that an unchanged issue is recognised without
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
      known = JSON.parse(await readFile(path, 'utf8')) as Record<string, KnownHash>;
    } catch {
      // None yet, or unreadable: the files are read again.
    }
    return new FileHashes(path, new Map(Object.entries(known)));
  }

  /** Checksum of a file's bytes, by reading it only if it may have changed. */
  async of(file: string): Promise<FileFacts> {
    const { size, mtimeMs, ino } = await stat(file);
    const known = this.known.get(file);
    const same =
      known !== undefined && known.bytes === size && known.mtimeMs === mtimeMs && known.inode === ino;
    if (same) return { bytes: size, mtimeMs, sha256: known.sha256 };
    const { sha256, bytes } = await hashFile(file);
    if (Date.now() - mtimeMs > grainMs) {
      this.known.set(file, { bytes: size, mtimeMs, inode: ino, sha256 });
      this.changed = true;
    }
    return { bytes, mtimeMs, sha256 };
  }

  /** Keeps what was learned, for the next run. */
  async save(jobFolder: string): Promise<void> {
    if (!this.changed) return;
    await mkdir(join(jobFolder, '.platehand'), { recursive: true });
    const sorted = Object.fromEntries([...this.known].sort(([a], [b]) => (a < b ? -1 : 1)));
    await writeWhole(this.path, Buffer.from(`${JSON.stringify(sorted, null, 2)}\n`));
  }
}

/** Coarsest time stamp among common file systems (FAT: two seconds). */
const grainMs = 2000;
