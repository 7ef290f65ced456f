import { createReadStream } from 'node:fs';
import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { messageOf } from '../../config/errors.js';
import { nameOfBytes } from '../../config/visible-text.js';
import { askAgain, NoteList } from './bag-notes.js';

/** What lies below one root, a folder or an archive, before it is known where in it the bag is. */

export interface BagFile {
  /** Octets, as the archive or the file system states them. */
  readonly size: number;
  /**
   * Hands over every byte in order.
   * @throws Error with a plain sentence when the file is damaged or cannot be read
   */
  readonly read: (take: (chunk: Uint8Array) => void) => Promise<void>;
}

/** Everything below one root, before it is known where in it the bag lies. */
export interface Listing {
  readonly files: ReadonlyMap<string, BagFile>;
  /** Folders that the source names, without a final slash. */
  readonly folders: ReadonlySet<string>;
  readonly problems: NoteList;
  readonly close: () => void;
}

/** A walk that follows no link. Where the root itself is no bag, one level below is looked into. */
export async function listFolder(root: string): Promise<Listing> {
  const files = new Map<string, BagFile>();
  const folders = new Set<string>();
  const problems = new NoteList('problem');
  const walk = async (below: string): Promise<void> => {
    const entries = await readdir(join(root, below), { withFileTypes: true, encoding: 'buffer' });
    for (const entry of entries) {
      const { name, isName } = nameOfBytes(entry.name);
      const path = below === '' ? name : `${below}/${name}`;
      if (!isName) {
        // BagIt's manifests are text in UTF-8, so none can list it (RFC 8493 section 2.1.3).
        problems.push({ code: 'name-not-utf8', path, what: 'Its name is not UTF-8', remedy: askAgain });
      } else if (entry.isDirectory()) {
        folders.add(path);
        await walk(path);
      } else if (entry.isFile()) {
        files.set(path, await fileOf(join(root, path)));
      } else {
        const what = entry.isSymbolicLink()
          ? 'It is a link, which may lead out of the bag'
          : 'It is no plain file';
        problems.push({ code: 'entry-unsafe', path, what, remedy: askAgain });
      }
    }
  };
  try {
    await walk('');
  } catch (thrown) {
    const what = `The folder could not be read: ${messageOf(thrown)}`;
    problems.push({ code: 'unreadable', what, remedy: 'Allow reading it, then verify again.' });
  }
  return { files, folders, problems, close: () => undefined };
}

async function fileOf(path: string): Promise<BagFile> {
  const { size } = await lstat(path);
  return {
    size,
    read: async (take) => {
      for await (const chunk of createReadStream(path, { highWaterMark: 1024 * 1024 })) take(chunk);
    },
  };
}
