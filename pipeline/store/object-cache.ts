import { mkdir, readdir, rm, stat, unlink, utimes } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import { placeWhole, renameHeld } from '../files/atomic.js';
import { writeFailed } from '../files/disk-trouble.js';
import { ownerTag } from '../files/owner.js';
import type { FileHash } from '../reading/hash-file.js';
import { cacheParts, makeRoom, prepareCache } from './cache-room.js';
import { checkFileName, objectOf } from './object-names.js';

/** 20 GB: own choice, some ten issues with their working files. */
const usualCacheBytes = 20e9;

/**
 * The time that every cached file bears, 2000-01-01: its content never changes, so whoever writes to it changes this. The time of the last
 * use stands beside it, as the time of reading.
 */
export const cachedMs = 946_684_800_000;

/** Times that a file is brought again which another process removed before it was taken. */
const tries = 3;
/** The folder is measured again once as much of the bound was added: others add to it as well. */
const addedShare = 0.05;

/** Brings the bytes to a path. @returns whether there are such */
export type Bring = (toPath: string) => Promise<boolean>;

/** A file that stays until it is let go of. */
export interface TakenFile {
  readonly path: string;
  release(): void;
}

let given = 0;

/**
 * Files by their SHA-256 on this machine, up to a bound; those that were not used for longest go first, those that somebody has taken
 * never. Several processes may share one. Its files are for reading: they are further names of one another.
 */
export class ObjectCache {
  private readonly coming = new Map<string, Promise<boolean>>();
  private foundBytes = Number.POSITIVE_INFINITY;
  private addedBytes = 0;

  private constructor(
    readonly folder: string,
    private readonly maxBytes: number,
  ) {}

  /** Opens a cache, with what earlier processes left in it. @param maxBytes default 20 GB */
  static async open(folder: string, maxBytes = usualCacheBytes): Promise<ObjectCache> {
    try {
      await prepareCache(folder);
    } catch (thrown) {
      throw writeFailed(folder, thrown);
    }
    return new ObjectCache(folder, maxBytes);
  }

  /** Takes a file, which is brought here unless it is. @returns undefined where there is none to bring */
  async take(facts: FileHash, bring: Bring): Promise<TakenFile | undefined> {
    const path = this.ownPath(cacheParts.held);
    if (!(await this.placeAt(path, facts, bring))) return undefined;
    const release = () => {
      void unlink(path).catch(() => undefined);
    };
    return { path, release };
  }

  /** A folder of that name with these files in it, brought here unless they are; undefined where one is missing. */
  async view(
    name: string,
    files: readonly { readonly name: string; readonly facts: FileHash; readonly bring: Bring }[],
  ): Promise<string | undefined> {
    const folder = this.viewFolder(name);
    await mkdir(folder, { recursive: true });
    await utimes(folder, new Date(), new Date()).catch(() => undefined);
    for (const { name: file, facts, bring } of files) {
      checkFileName(file);
      if (!(await this.placeAt(join(folder, file), facts, bring))) return undefined;
    }
    return folder;
  }

  /** Where the files of a view of that name stand, once it was asked for. */
  viewFolder(name: string): string {
    return join(this.folder, cacheParts.views, name);
  }

  /** Removes a view. */
  async dropView(name: string): Promise<void> {
    await rm(this.viewFolder(name), { recursive: true, force: true });
  }

  /** A new, empty folder of this process's own. */
  async openFolder(): Promise<string> {
    const folder = this.ownPath(cacheParts.open);
    await mkdir(folder, { recursive: true });
    return folder;
  }

  /** Removes a folder from `openFolder`. */
  async closeFolder(folder: string): Promise<void> {
    await rm(folder, { recursive: true, force: true });
  }

  /** Keeps a file that was just held against its checksum, as a further name of it. */
  async adopt(path: string, facts: FileHash): Promise<void> {
    await this.ensure(facts, async (toPath) => {
      await placeWhole(path, toPath);
      return true;
    });
  }

  /** Drops a file whose bytes turned out to be others, wherever it has a name among the results. */
  async distrust(facts: FileHash): Promise<void> {
    const path = this.pathOf(facts);
    const inode = await stat(path).then(
      ({ ino }) => ino,
      () => undefined,
    );
    await unlink(path).catch(() => undefined);
    if (inode === undefined) return;
    const views = join(this.folder, cacheParts.views);
    for (const entry of await readdir(views, { withFileTypes: true, recursive: true })) {
      if (!entry.isFile()) continue;
      const name = join(entry.parentPath, entry.name);
      if ((await stat(name).catch(() => undefined))?.ino === inode) await unlink(name).catch(() => undefined);
    }
  }

  /** Gives a cached file a further name, unless it has it already. */
  private async placeAt(path: string, facts: FileHash, bring: Bring): Promise<boolean> {
    const cached = this.pathOf(facts);
    for (let tried = 1; ; tried++) {
      if (!(await this.ensure(facts, bring))) return false;
      if (await isSameFile(cached, path)) return true;
      try {
        await placeWhole(cached, path);
        // A copy, where the disk has no links, has a time of its own.
        await utimes(path, Date.now() / 1000, cachedMs / 1000);
        return true;
      } catch (thrown) {
        if (tried >= tries) throw writeFailed(path, thrown);
      }
    }
  }

  /** Has a file brought here unless it is, once for all who ask meanwhile. */
  private async ensure(facts: FileHash, bring: Bring): Promise<boolean> {
    const path = this.pathOf(facts);
    if (await this.has(path, facts)) return true;
    const { sha256 } = facts;
    const coming =
      this.coming.get(sha256) ?? this.bring(path, facts, bring).finally(() => this.coming.delete(sha256));
    this.coming.set(sha256, coming);
    return coming;
  }

  private async has(path: string, facts: FileHash): Promise<boolean> {
    const found = await stat(path).catch(() => undefined);
    if (found === undefined) return false;
    if (found.size === facts.bytes && found.mtimeMs === cachedMs) {
      await utimes(path, Date.now() / 1000, cachedMs / 1000).catch(() => undefined);
      return true;
    }
    await unlink(path).catch(() => undefined);
    return false;
  }

  private async bring(path: string, facts: FileHash, bring: Bring): Promise<boolean> {
    await this.roomFor(facts.bytes);
    const partPath = this.ownPath(cacheParts.coming);
    try {
      if (!(await bring(partPath))) return false;
      await mkdir(dirname(path), { recursive: true });
      await utimes(partPath, Date.now() / 1000, cachedMs / 1000);
      await renameHeld(partPath, path);
      this.addedBytes += facts.bytes;
      return true;
    } catch (thrown) {
      throw thrown instanceof PlatehandError ? thrown : writeFailed(path, thrown);
    } finally {
      await unlink(partPath).catch(() => undefined);
    }
  }

  private async roomFor(bytes: number): Promise<void> {
    const isKnown = this.addedBytes < this.maxBytes * addedShare;
    if (isKnown && this.foundBytes + this.addedBytes + bytes <= this.maxBytes) return;
    this.addedBytes = 0;
    this.foundBytes = await makeRoom(this.folder, this.maxBytes, bytes);
  }

  private pathOf(facts: FileHash): string {
    return join(this.folder, objectOf(facts));
  }

  private ownPath(part: string): string {
    return join(this.folder, part, `${ownerTag}.${++given}`);
  }
}

async function isSameFile(one: string, other: string): Promise<boolean> {
  const [first, second] = await Promise.all([one, other].map((path) => stat(path).catch(() => undefined)));
  return first !== undefined && second !== undefined && first.ino === second.ino && first.dev === second.dev;
}
