import { rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { makeFolder, placeWhole, renameHeld } from '../files/atomic.js';
import { ownerTag } from '../files/owner.js';
import { expectAsking, isAsWritten, standingFiles, standingNames } from '../files/standing-files.js';
import type { OutputFile, PageResult, ProductName, VersionChange } from '../model/page-result.js';
import type { PageProduct } from '../outputs/product.js';
import { inOrder, productRows } from '../outputs/products.js';
import { hashFile } from '../reading/hash-file.js';
import { readResult, readSketches, writeResult } from './result-files.js';
import type { ResultStore, StoredResult } from './result-store.js';
import {
  type Donors,
  isGood,
  keptOlder,
  mayGive,
  outputsOf,
  type ProductKeys,
  takenOver,
} from './taking-over.js';

/** Tells folders apart that one process opens for the same key before the first is cleared away. */
let openedFolders = 0;

/**
 * Results on the local disk, by key below `.platehand/results/<page>/<key>/`. The files in press/, plates/ and proofs/ are
 * further names of the files here.
 */
export function localStore(jobFolder: string): ResultStore {
  return new LocalStore(join(jobFolder, '.platehand', 'results'));
}

/** What is asked of the disk about a page that has not changed: its result, each of its files, and each where it is placed. */
const askedOfPage = 20;

/** Says that all results are looked at soon: for many, what asks the disk starts now, beside whatever comes before. */
export async function expectLook(jobFolder: string): Promise<void> {
  const pages = await standingNames(join(jobFolder, '.platehand', 'results'));
  expectAsking(pages.length * askedOfPage);
}

class LocalStore implements ResultStore {
  constructor(private readonly root: string) {}

  async find(page: string, key: string): Promise<StoredResult | undefined> {
    const stored = await this.read(page, key);
    return stored !== undefined && (await isWhole(stored, stored.result.outputs)) ? stored : undefined;
  }

  async findProducts(page: string, keys: ProductKeys): Promise<ReadonlySet<ProductName>> {
    const names = new Set<ProductName>();
    for (const stored of await this.all(page)) {
      for (const product of productRows) if (await has(stored, product, keys)) names.add(product.name);
    }
    return names;
  }

  async has(page: string): Promise<boolean> {
    return (await this.keys(page)).length > 0;
  }

  async newest(page: string): Promise<StoredResult | undefined> {
    const newest = await this.newestKey(page);
    return newest === undefined ? undefined : this.read(page, newest);
  }

  async newestKey(page: string): Promise<string | undefined> {
    return (await this.dated(page))[0];
  }

  async newestGood(
    page: string,
    isWanted: (stored: StoredResult) => boolean = () => true,
  ): Promise<StoredResult | undefined> {
    for (const stored of await this.all(page)) {
      if (isGood(stored) && isWanted(stored) && (await isWhole(stored, stored.result.outputs))) return stored;
    }
    return undefined;
  }

  async open(page: string, key: string | undefined): Promise<string> {
    const folder = join(this.root, page, `.${key ?? 'new'}.${ownerTag}.${++openedFolders}.part`);
    await rm(folder, { recursive: true, force: true });
    await makeFolder(folder);
    return folder;
  }

  async store(
    page: string,
    partFolder: string,
    made: PageResult,
    asked: readonly ProductName[],
    versions?: readonly VersionChange[],
    standing?: string,
  ): Promise<StoredResult> {
    const { key } = made;
    const earlier = await this.find(page, key);
    // Somebody beside us made the same, and may be packing it just now: leave it alone.
    if (earlier !== undefined && asked.every((product) => earlier.asked.includes(product))) return earlier;
    const whole = await completed(made, asked, { earlier, all: await this.all(page) }, partFolder);
    const kept = earlier?.versions ?? versions;
    const stored = await writeResult(partFolder, kept === undefined ? whole : { ...whole, versions: kept });
    const folder = join(this.root, page, key);
    await rm(folder, { recursive: true, force: true });
    await renameHeld(partFolder, folder);
    await this.forgetOlder(page, key, standing);
    return { ...stored, folder };
  }

  async discard(folder: string): Promise<void> {
    await rm(folder, { recursive: true, force: true });
  }

  async remove(page: string, key: string): Promise<void> {
    await rm(join(this.root, page, key), { recursive: true, force: true });
  }

  withSketches(stored: StoredResult): Promise<StoredResult> {
    return readSketches(stored);
  }

  async hasOwnBytes(stored: StoredResult): Promise<boolean> {
    return haveOwnBytes(stored, stored.result.outputs);
  }

  pathOf(page: string, key: string, output: string): string {
    return join(this.root, page, key, output);
  }

  /** A stored result, whole or not. */
  private read(page: string, key: string): Promise<StoredResult | undefined> {
    return readResult(join(this.root, page, key));
  }

  /** All results of a page, the newest first. */
  private async all(page: string): Promise<StoredResult[]> {
    const all = await Promise.all((await this.dated(page)).map((key) => this.read(page, key)));
    return all.filter((stored) => stored !== undefined);
  }

  private async keys(page: string): Promise<string[]> {
    const names = await standingNames(join(this.root, page));
    return names.filter((name) => !name.startsWith('.'));
  }

  /** Keys of a page's results, the newest first. */
  private async dated(page: string): Promise<string[]> {
    const keys = await this.keys(page);
    if (keys.length < 2) return keys;
    const dated = await Promise.all(
      keys.map(async (key) => {
        const facts = await stat(join(this.root, page, key)).catch(() => undefined);
        return { key, at: facts?.mtimeMs ?? 0 };
      }),
    );
    return dated.sort((a, b) => b.at - a.at).map(({ key }) => key);
  }

  private async forgetOlder(page: string, newestKey: string, standing: string | undefined): Promise<void> {
    const good = (await this.newestGood(page))?.result.key;
    const others = (await this.dated(page)).filter((key) => key !== newestKey);
    for (const key of others.slice(keptOlder)) {
      if (key !== good && key !== standing) await this.remove(page, key);
    }
  }
}

/** Adds to a result what others have of it, and looks at every file as it stands now. */
async function completed(
  made: PageResult,
  asked: readonly ProductName[],
  donors: Donors,
  partFolder: string,
): Promise<Omit<StoredResult, 'folder'>> {
  const { asked: all, taken } = await takenOver(made, asked, donors, has);
  for (const { from, output } of taken) {
    await placeWhole(join(from.folder, output.name), join(partFolder, output.name));
  }
  const outputs = [...made.outputs, ...taken.map(({ output }) => output)];
  const writtenMs: Record<string, number> = {};
  for (const { name } of outputs) writtenMs[name] = (await stat(join(partFolder, name))).mtimeMs;
  return { result: { ...made, outputs: inOrder(outputs) }, asked: all, writtenMs };
}

/** Whether a result has the files that a product with such a key is made of, with the bytes that were made; reads them. */
async function has(stored: StoredResult, product: PageProduct, keys: ProductKeys): Promise<boolean> {
  if (!mayGive(stored, product, keys)) return false;
  const outputs = outputsOf(stored, product);
  return (await isWhole(stored, outputs)) && haveOwnBytes(stored, outputs);
}

async function isWhole(
  { folder, writtenMs }: StoredResult,
  outputs: readonly OutputFile[],
): Promise<boolean> {
  const names = outputs.map(({ name }) => name);
  const now = await standingFiles(folder, names);
  return outputs.every(({ name, bytes }, at) => isAsWritten(now[at], { bytes, mtimeMs: writtenMs[name] }));
}

async function haveOwnBytes({ folder }: StoredResult, outputs: readonly OutputFile[]): Promise<boolean> {
  for (const { name, sha256 } of outputs) {
    const found = await hashFile(join(folder, name)).catch(() => undefined);
    if (found?.sha256 !== sha256) return false;
  }
  return true;
}
