import { randomBytes } from 'node:crypto';
import { constants } from 'node:fs';
import { copyFile, type FileHandle, link, lstat, mkdir, open, rename, stat, unlink } from 'node:fs/promises';
import { basename, dirname, join, sep } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { codeOf, writeFailed } from './disk-trouble.js';
import { ownerTag } from './owner.js';

/**
 * Files appear under their final name only when whole: they are made under a temporary name in the same folder, brought
 * to the disk, then renamed. Whoever looks sees the old file or the new one, never a part of one.
 */

/** Virus scanners and indexers on Windows hold a fresh file for a moment; a short wait is enough. */
const renameTries = 5;
const firstPauseMs = 50;
const heldCodes = new Set(['EPERM', 'EACCES', 'EBUSY']);
/** File systems, and pairs of them, that know no hard links answer with one of these. */
export const noLinkCodes = new Set([
  'EXDEV',
  'EPERM',
  'EACCES',
  'ENOTSUP',
  'EOPNOTSUPP',
  'ENOSYS',
  'EMLINK',
  'EINVAL',
]);

/**
 * Writes a whole file, replacing an older one of that name only once every byte is on the disk.
 * @param content the bytes, in one piece or in several that follow each other
 * @throws PlatehandError write-failed; what `content` itself throws comes through as it is
 */
export async function writeWhole(
  path: string,
  content: Uint8Array | readonly Uint8Array[] | AsyncIterable<Uint8Array>,
): Promise<void> {
  await makeWhole(path, async (partPath) => {
    const handle = await attempt(path, () => open(partPath, 'wx'));
    try {
      const pieces = content instanceof Uint8Array ? [content] : content;
      if (Symbol.iterator in pieces) await attempt(path, () => writeFully(handle, pieces));
      else for await (const piece of pieces) await attempt(path, () => writeFully(handle, [piece]));
      await attempt(path, () => handle.sync());
    } finally {
      await handle.close();
    }
  });
}

/**
 * Puts a finished file into place as another name of the same bytes (hard link), or as a copy where the file system
 * knows no links. The two names then share one file: treat both as finished, never write into either.
 * @throws PlatehandError write-failed
 */
export async function placeWhole(fromPath: string, toPath: string): Promise<void> {
  await makeWhole(toPath, async (partPath) => {
    try {
      await link(fromPath, partPath);
    } catch (thrown) {
      if (!noLinkCodes.has(codeOf(thrown))) throw writeFailed(toPath, thrown);
      await attempt(toPath, () => copyFile(fromPath, partPath, constants.COPYFILE_FICLONE));
      await attempt(toPath, () => syncFile(partPath));
    }
  });
}

/**
 * Runs `make` with a temporary path beside `path`, then gives what it made its final name. If `make` fails, its file is
 * removed, an older file of the final name stays as it was, and the error comes through.
 * @param nameIt default takes the place of whatever has the name
 * @throws what `make` and `nameIt` throw
 */
export async function putWhole<T>(
  path: string,
  make: (partPath: string) => Promise<T>,
  nameIt: (partPath: string, path: string) => Promise<void> = renameHeld,
): Promise<T> {
  const partPath = partPathOf(path);
  try {
    const made = await make(partPath);
    await nameIt(partPath, path);
    await syncFolder(dirname(path));
    return made;
  } finally {
    // Also after success: renaming one hard link onto another of the same file leaves both names (POSIX rename).
    await unlink(partPath).catch(() => undefined);
  }
}

/** The same, where trouble with the name is the disk's. @throws PlatehandError write-failed when the renaming fails */
async function makeWhole<T>(
  path: string,
  make: (partPath: string) => Promise<T>,
  nameIt: (partPath: string, path: string) => Promise<void> = renameHeld,
): Promise<T> {
  return putWhole(path, make, (partPath) => attempt(path, () => nameIt(partPath, path)));
}

/** The same for a file that must be new: what bears the name already stays, and is a reason for write-failed. */
export async function makeNew<T>(path: string, make: (partPath: string) => Promise<T>): Promise<T> {
  return makeWhole(path, make, nameNew);
}

/** A link never replaces what is there; without links, looking first leaves a moment open. */
async function nameNew(partPath: string, path: string): Promise<void> {
  try {
    await link(partPath, path);
  } catch (thrown) {
    if (!noLinkCodes.has(codeOf(thrown))) throw thrown;
    const there = await lstat(path).catch(() => undefined);
    if (there !== undefined) throw Object.assign(new Error(), { code: 'EEXIST' });
    await renameHeld(partPath, path);
  }
}

/** The folder of what platehand keeps for itself in a job folder. */
const ownFolder = '.platehand';

/**
 * Makes a folder unless it is there; within `.platehand` those above it as well, and `.platehand` itself. The folder that holds these has to
 * be there: one that somebody has moved away is not made anew in its old place.
 * @throws PlatehandError write-failed
 */
export async function makeFolder(path: string): Promise<void> {
  await attempt(path, () => makeBelow(path));
}

async function makeBelow(path: string): Promise<void> {
  try {
    await mkdir(path);
  } catch (thrown) {
    const code = codeOf(thrown);
    if (code === 'EEXIST' && (await isFolder(path))) return;
    const above = dirname(path);
    if (code !== 'ENOENT' || !above.split(sep).includes(ownFolder)) throw thrown;
    await makeBelow(above);
    await makeBelow(path);
  }
}

async function isFolder(path: string): Promise<boolean> {
  return stat(path).then(
    (facts) => facts.isDirectory(),
    () => false,
  );
}

/** Brings a file that something else wrote to the disk. */
export async function syncFile(path: string): Promise<void> {
  const handle = await open(path, 'r+');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/**
 * A dot file in the same folder, so that renaming stays within one file system and watchers pass it over. The process
 * number in its name tells later whether somebody is still at it.
 */
export function partPathOf(path: string): string {
  // Cut, because the longest allowed name (255 bytes on most file systems) would have no room for the rest.
  const stem = basename(path).slice(0, 40);
  return join(dirname(path), `.${stem}.${ownerTag}.${randomBytes(6).toString('hex')}.part`);
}

/** Pieces given to the system at a time: POSIX promises no more than 16, Linux and macOS take 1024. */
const piecesAtOnce = 512;

async function writeFully(handle: FileHandle, pieces: readonly Uint8Array[]): Promise<void> {
  for (let first = 0; first < pieces.length; first += piecesAtOnce) {
    let left = pieces.slice(first, first + piecesAtOnce).filter((piece) => piece.length > 0);
    while (left.length > 0) left = after(left, (await handle.writev(left)).bytesWritten);
  }
}

/** What is left of pieces when so many of their bytes are written. */
function after(pieces: readonly Uint8Array[], bytes: number): Uint8Array[] {
  let written = bytes;
  return pieces.flatMap((piece) => {
    const rest = piece.subarray(Math.min(written, piece.length));
    written = Math.max(0, written - piece.length);
    return rest.length > 0 ? [rest] : [];
  });
}

/**
 * Renames a file or folder, trying again for a moment while a scanner holds it.
 * @throws the system's error
 */
export async function renameHeld(fromPath: string, toPath: string): Promise<void> {
  for (let tried = 1; ; tried++) {
    try {
      return await rename(fromPath, toPath);
    } catch (thrown) {
      if (tried >= renameTries || !heldCodes.has(codeOf(thrown))) throw thrown;
      await pause(firstPauseMs * 2 ** (tried - 1));
    }
  }
}

/** Makes the new name itself last through a power cut; Windows and some network shares do not offer this. */
export async function syncFolder(folder: string): Promise<void> {
  try {
    const handle = await open(folder, 'r');
    await handle.sync().finally(() => handle.close());
  } catch {
    // The file is whole and in place either way.
  }
}

async function attempt<T>(path: string, action: () => Promise<T>): Promise<T> {
  try {
    return await action();
  } catch (thrown) {
    throw writeFailed(path, thrown);
  }
}
