import { mkdir, readdir, rm, stat, unlink } from 'node:fs/promises';
import { join } from 'node:path';
import { ownerIsGone, ownerPattern, ownerTag } from '../files/owner.js';

/** How a cache of objects stays within its bound, and what processes that ended have left in it. */

/** Parts of a cache's folder. */
export const cacheParts = {
  /** Files by their SHA-256, as `ab/<sha256>`. */
  objects: 'objects',
  /** Files on their way here. */
  coming: 'coming',
  /** A further name of each file that somebody has taken. */
  held: 'held',
  /** A folder for each result, of further names. */
  views: 'views',
  /** Folders in which results are made. */
  open: 'open',
} as const;

/** Results that were looked at within that time keep their files: who looked may still be reading. */
const viewKeptMs = 3600 * 1000;
/** Made room for at a time, beyond what is needed: each time reads the whole folder. */
const spareShare = 0.1;

/** Folders that this process has opened before: what bears its number there is its own, not a dead one's of the same number. */
const opened = new Set<string>();

/** Makes the folders of a cache, and removes what processes that are gone were at. */
export async function prepareCache(folder: string): Promise<void> {
  for (const part of Object.values(cacheParts)) await mkdir(join(folder, part), { recursive: true });
  for (const part of [cacheParts.coming, cacheParts.held, cacheParts.open]) {
    for (const name of await readdir(join(folder, part))) {
      const path = join(folder, part, name);
      const [, machine, pid] = new RegExp(ownerPattern).exec(name) ?? [];
      const isOwn = opened.has(folder) && name.includes(ownerTag);
      if (isOwn || machine === undefined || !ownerIsGone(machine, Number(pid))) continue;
      await rm(path, { recursive: true, force: true });
    }
  }
  opened.add(folder);
}

interface CachedFile {
  readonly path: string;
  readonly inode: string;
  readonly bytes: number;
  readonly names: number;
  readonly usedMs: number;
}

/**
 * Removes what was not used for longest until so much more has room; what somebody holds stays, also beyond the bound.
 * @returns bytes that are there then
 */
export async function makeRoom(folder: string, maxBytes: number, neededBytes: number): Promise<number> {
  const found = bytesOf(await filesIn(folder));
  if (found + neededBytes <= maxBytes) return found;
  await removeOldViews(join(folder, cacheParts.views));
  let total = bytesOf(await filesIn(folder));
  const goal = maxBytes * (1 - spareShare) - neededBytes;
  const cached = await filesIn(join(folder, cacheParts.objects));
  for (const { path, bytes } of cached.sort((one, other) => one.usedMs - other.usedMs)) {
    if (total <= goal) break;
    // Asked again: somebody may have taken it since.
    const names = await stat(path).then(
      ({ nlink }) => nlink,
      () => 0,
    );
    if (names !== 1) continue;
    await unlink(path).catch(() => undefined);
    total -= bytes;
  }
  return total;
}

/** A file with several names has its bytes once. */
function bytesOf(files: readonly CachedFile[]): number {
  const byInode = new Map(files.map(({ inode, bytes }) => [inode, bytes]));
  return [...byInode.values()].reduce((sum, bytes) => sum + bytes, 0);
}

async function filesIn(folder: string): Promise<CachedFile[]> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  const files: CachedFile[] = [];
  for (const entry of entries) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    const facts = await stat(path).catch(() => undefined);
    if (facts === undefined) continue;
    const { dev, ino, size: bytes, nlink: names, atimeMs: usedMs } = facts;
    files.push({ path, inode: `${dev}:${ino}`, bytes, names, usedMs });
  }
  return files;
}

async function removeOldViews(views: string): Promise<void> {
  for (const page of await readdir(views).catch(() => [])) {
    for (const key of await readdir(join(views, page)).catch(() => [])) {
      const path = join(views, page, key);
      const usedMs = await stat(path).then(
        ({ mtimeMs }) => mtimeMs,
        () => Number.POSITIVE_INFINITY,
      );
      if (Date.now() - usedMs > viewKeptMs) await rm(path, { recursive: true, force: true });
    }
  }
}
