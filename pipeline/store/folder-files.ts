import { link, mkdir, readdir, stat, unlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { noLinkCodes, partPathOf, renameHeld } from '../files/atomic.js';
import { codeOf } from '../files/disk-trouble.js';

/** How files are put into a folder that several machines share, over protocols whose answers get lost and whose caches lag. */

/** What a share answers while it comes back, or a scanner holds a file. */
const passingCodes = new Set(['ESTALE', 'EIO', 'EBUSY', 'EAGAIN', 'EINTR', 'ETIMEDOUT', 'ENFILE', 'EMFILE']);

/** Whether trouble of a share may be over in a moment. */
export function passesSoon(thrown: unknown): boolean {
  return passingCodes.has(codeOf(thrown));
}

/** Whether it was said that no such file is there. */
export function isMissing(thrown: unknown): boolean {
  return codeOf(thrown) === 'ENOENT' || codeOf(thrown) === 'ENOTDIR';
}

/** Gives a finished file its name, unless somebody else put it meanwhile: the name says what is in it. */
export async function nameOnce(partPath: string, path: string): Promise<void> {
  try {
    await link(partPath, path);
  } catch (thrown) {
    if (codeOf(thrown) === 'EEXIST') return;
    // An answer that was lost on its way: the question was asked again, and failed although the first had been heard.
    const links = await stat(partPath).then(
      ({ nlink }) => nlink,
      () => 0,
    );
    if (links === 2) return;
    if (!noLinkCodes.has(codeOf(thrown))) throw thrown;
    await renameHeld(partPath, path);
  }
}

/** Makes the folders of a name below a root, and never the root itself. */
export async function makeFolders(root: string, name: string): Promise<void> {
  let folder = root;
  for (const part of name.split('/').slice(0, -1)) {
    folder = join(folder, part);
    await mkdir(folder).catch((thrown: unknown) => {
      if (codeOf(thrown) !== 'EEXIST') throw thrown;
    });
  }
}

/** A file below a folder. */
export interface FoundFile {
  readonly path: string;
  /** From the root, with forward slashes. */
  readonly name: string;
  readonly bytes: number;
  readonly changedMs: number;
}

/** All files below a folder, as they are found; what goes away meanwhile is passed over. @param at where the folder is, from the root */
export async function* filesBelow(root: string, at: string): AsyncGenerator<FoundFile> {
  const entries = await readdir(join(root, at), { withFileTypes: true }).catch((thrown: unknown) => {
    if (isMissing(thrown)) return [];
    throw thrown;
  });
  for (const entry of entries) {
    const name = at === '' ? entry.name : `${at}/${entry.name}`;
    if (entry.isDirectory()) {
      yield* filesBelow(root, name);
      continue;
    }
    const path = join(root, name);
    const facts = await stat(path).catch(() => undefined);
    if (facts?.isFile()) yield { path, name, bytes: facts.size, changedMs: facts.mtimeMs };
  }
}

/**
 * What the clock of the machine that has the disk says: a new file's time is its.
 * @returns milliseconds since 1970
 */
export async function clockOf(folder: string): Promise<number> {
  const path = partPathOf(join(folder, 'clock'));
  try {
    await writeFile(path, '');
    return (await stat(path)).mtimeMs;
  } finally {
    await unlink(path).catch(() => undefined);
  }
}
