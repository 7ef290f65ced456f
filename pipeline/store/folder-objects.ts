import { mkdir, readdir, readFile, stat, unlink, utimes } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { readRegular, TooManyBytesError } from '../../config/regular-file.js';
import { putWhole } from '../files/atomic.js';
import { codeOf } from '../files/disk-trouble.js';
import { cannotRead, type FileHash } from '../reading/hash-file.js';
import { isSameContent, piecesOf, writeHashed } from './copy-hashed.js';
import { fetchChecked } from './fetch-checked.js';
import { clockOf, filesBelow, isMissing, makeFolders, nameOnce, passesSoon } from './folder-files.js';
import { checkObjectName, checkObjectPrefix } from './object-names.js';
import { type ListedObject, longestTextBytes, type ObjectStore, renewedAfterMs } from './object-store.js';
import { checkMark, markName, markText, noStoreThere, notAStore } from './store-mark.js';
import { fileChanged, folderTrouble, retried, storeDamaged, storeUnreachable } from './store-trouble.js';

/** What systems put into an empty folder by themselves, besides names that begin with a dot. */
const nobodysNames = new Set(['lost+found']);
/** How long the difference to the store's clock is believed. */
const clockBelievedMs = 3600 * 1000;
const hereNow = (thrown: unknown) => thrown;

/**
 * Objects in a folder that several machines reach. Its mark is made in an empty folder, or in one that is not there yet.
 * @param mayMake whether a store may be made there; default yes
 * @throws PlatehandError `wrong-use` where the folder is another thing's, `store-unreachable`
 */
export async function openFolderObjects(folder: string, mayMake = true): Promise<ObjectStore> {
  const root = resolve(folder);
  try {
    const mark = (await markIn(root)) ?? (await newMark(root, mayMake));
    checkMark(root, mark);
    return new FolderObjects(root);
  } catch (thrown) {
    throw folderTrouble(root, thrown);
  }
}

async function markIn(root: string): Promise<string | undefined> {
  return readFile(join(root, markName), 'utf8').catch((thrown: unknown) => {
    if (isMissing(thrown)) return undefined;
    throw thrown;
  });
}

async function newMark(root: string, mayMake: boolean): Promise<string> {
  if (!mayMake) throw noStoreThere(root);
  await mkdir(root).catch((thrown: unknown) => {
    if (codeOf(thrown) !== 'EEXIST') throw thrown;
  });
  const names = await readdir(root);
  // Somebody else may have made it at the same moment.
  const mark = await markIn(root);
  if (mark !== undefined) return mark;
  if (names.some((name) => !name.startsWith('.') && !nobodysNames.has(name))) throw notAStore(root);
  await putWhole(join(root, markName), (part) => writeText(part, markText), nameOnce);
  return markText;
}

async function writeText(path: string, text: string): Promise<void> {
  await writeHashed(path, piecesIn(text), hereNow);
}

async function* piecesIn(text: string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(text);
}

class FolderObjects implements ObjectStore {
  private clock: { readonly askedMs: number; readonly aheadMs: number } | undefined;

  constructor(readonly address: string) {}

  async putFile(name: string, path: string, facts: FileHash): Promise<void> {
    checkObjectName(name);
    await this.attempt(async () => {
      const standing = await this.factsOf(name);
      if (standing?.size === facts.bytes && (await this.renew(name, standing.mtimeMs))) return;
      const make = async (part: string) => {
        const copied = await writeHashed(
          part,
          piecesOf(path, (thrown) => cannotRead(path, thrown)),
          hereNow,
        );
        if (!isSameContent(copied, facts)) throw fileChanged(path);
      };
      await this.put(name, make, standing === undefined ? nameOnce : undefined);
    });
  }

  async putText(name: string, text: string): Promise<void> {
    checkObjectName(name);
    await this.attempt(() => this.put(name, (part) => writeText(part, text)));
  }

  async getText(name: string): Promise<string | undefined> {
    checkObjectName(name);
    const path = join(this.address, name);
    const read = () =>
      readRegular(path, longestTextBytes).catch((thrown: unknown) => {
        throw thrown instanceof TooManyBytesError ? storeDamaged(this.address, name) : thrown;
      });
    return (await this.attempt(() => this.unlessMissing(read)))?.toString('utf8');
  }

  async getFile(name: string, toPath: string, facts: FileHash): Promise<boolean> {
    checkObjectName(name);
    const path = join(this.address, name);
    const write = (part: string) => this.unlessMissing(() => writeHashed(part, piecesOf(path, hereNow)));
    return this.attempt(() => fetchChecked(toPath, { address: this.address, name, facts, write }));
  }

  async sizeOf(name: string): Promise<number | undefined> {
    checkObjectName(name);
    return (await this.attempt(() => this.factsOf(name)))?.size;
  }

  async *list(prefix: string): AsyncGenerator<ListedObject> {
    checkObjectPrefix(prefix);
    await this.checkMounted();
    try {
      for await (const { name, bytes, changedMs } of filesBelow(this.address, folderIn(prefix))) {
        const isObject = name !== markName && !name.includes('/.') && !name.startsWith('.');
        if (isObject && name.startsWith(prefix)) yield { name, bytes, changedMs };
      }
    } catch (thrown) {
      throw folderTrouble(this.address, thrown);
    }
  }

  async remove(name: string): Promise<void> {
    checkObjectName(name);
    await this.attempt(() => this.unlessMissing(() => unlink(join(this.address, name))));
  }

  /** A share remembers names for up to a minute; a change of the folder that it hears of makes it ask again, so each is changed. */
  async lookAnew(prefix: string): Promise<void> {
    checkObjectPrefix(prefix);
    await this.checkMounted();
    let folder = this.address;
    for (const part of ['', ...folderIn(prefix).split('/')]) {
      folder = join(folder, part);
      await clockOf(folder).catch(() => undefined);
    }
  }

  async clearUnfinished(beforeMs: number): Promise<number> {
    let freed = 0;
    await this.checkMounted();
    for await (const { path, name, bytes, changedMs } of filesBelow(this.address, '')) {
      const isUnfinished = /(^|\/)\.[^/]*\.part$/.test(name) && changedMs < beforeMs;
      if (!isUnfinished) continue;
      await unlink(path).catch(() => undefined);
      freed += bytes;
    }
    return freed;
  }

  async close(): Promise<void> {
    this.clock = undefined;
  }

  /** Makes a file with its name, and the folders above it where it is the first of them. */
  private async put(
    name: string,
    make: (partPath: string) => Promise<void>,
    nameIt?: (partPath: string, path: string) => Promise<void>,
  ): Promise<void> {
    await this.checkMounted();
    await makeFolders(this.address, name);
    await putWhole(join(this.address, name), make, nameIt);
  }

  /** @returns whether it stands with a time of these days, also for a sweep that begins now */
  private async renew(name: string, changedMs: number): Promise<boolean> {
    const nowMs = await this.nowMs();
    if (nowMs - changedMs < renewedAfterMs) return true;
    // Another user's file takes no time from us, and a swept one is gone: both are put again.
    return utimes(join(this.address, name), nowMs / 1000, nowMs / 1000).then(
      () => true,
      () => false,
    );
  }

  private async nowMs(): Promise<number> {
    const { clock } = this;
    if (clock !== undefined && Math.abs(Date.now() - clock.askedMs) < clockBelievedMs) {
      return Date.now() + clock.aheadMs;
    }
    const nowMs = await clockOf(this.address);
    this.clock = { askedMs: Date.now(), aheadMs: nowMs - Date.now() };
    return nowMs;
  }

  private async factsOf(name: string) {
    const facts = await this.unlessMissing(() => stat(join(this.address, name)));
    return facts?.isFile() ? facts : undefined;
  }

  /** Not there is only what is not there in a store that is. */
  private async unlessMissing<T>(ask: () => Promise<T>): Promise<T | undefined> {
    try {
      return await ask();
    } catch (thrown) {
      if (!isMissing(thrown)) throw thrown;
      await this.checkMounted();
      return undefined;
    }
  }

  private async checkMounted(): Promise<void> {
    await stat(join(this.address, markName)).catch((thrown: unknown) => {
      if (!isMissing(thrown)) throw folderTrouble(this.address, thrown);
      const remedy = 'Mount the share again; if the store was emptied on purpose, start anew.';
      throw storeUnreachable(this.address, `has lost its ${markName}: its share may not be mounted`, remedy);
    });
  }

  private async attempt<T>(action: () => Promise<T>): Promise<T> {
    try {
      return await retried(action, passesSoon);
    } catch (thrown) {
      throw folderTrouble(this.address, thrown);
    }
  }
}

/** The folder part of a prefix, without its slash. */
function folderIn(prefix: string): string {
  return prefix.includes('/') ? prefix.slice(0, prefix.lastIndexOf('/')) : '';
}
