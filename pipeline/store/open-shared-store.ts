import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { PlatehandError } from '../../config/errors.js';
import type { PageResult, ProductName } from '../model/page-result.js';
import { cannotRead, type FileHash } from '../reading/hash-file.js';
import { openBucketObjects } from './bucket-objects.js';
import { piecesOf, writeHashed } from './copy-hashed.js';
import { fetchChecked } from './fetch-checked.js';
import { openFolderObjects } from './folder-objects.js';
import { ObjectCache, type TakenFile } from './object-cache.js';
import { checkFileName, checkSha256, objectOf, pagePartOf } from './object-names.js';
import type { ObjectStore } from './object-store.js';
import { type KeptResult, keptOf, recordsOf } from './shared-records.js';
import { SharedResults } from './shared-results.js';
import type { SharedStore } from './shared-store.js';
import { sweepObjects } from './sweep.js';

/** How a shared store is opened. */
export interface SharedStoreOptions {
  /** Folder on this machine for what is fetched; several processes may share it. */
  readonly cacheFolder: string;
  /** What it may hold; default 20 GB. */
  readonly cacheBytes?: number;
  /** Whether a store may be made where none is; default yes. A worker says no: a share that is not mounted looks like an empty folder. */
  readonly mayMake?: boolean;
  /** How long `copyTo` waits for what others say that they have put: network shares remember names that were not there. Default 5 s. */
  readonly patienceMs?: number;
  /** Hears of damaged objects, which are removed so that they are made anew; default nobody. */
  readonly told?: (trouble: PlatehandError) => void;
}

const usualPatienceMs = 5_000;
const askedAgainMs = 250;

/**
 * Opens a store that machines share.
 * @param address a folder, or `s3://bucket/prefix` with endpoint, region and keys in the environment
 * @throws PlatehandError `wrong-use` where something else is there, `store-unreachable`, `package-missing`, `write-failed` for the cache
 */
export async function openSharedStore(address: string, options: SharedStoreOptions): Promise<SharedStore> {
  const { cacheFolder, cacheBytes, mayMake = true } = options;
  const objects = address.startsWith('s3://')
    ? await openBucketObjects(address, { mayMake })
    : await openFolderObjects(address, mayMake);
  try {
    const cache = await ObjectCache.open(cacheFolder, cacheBytes);
    const { told = () => undefined, patienceMs = usualPatienceMs } = options;
    return new WholeSharedStore(objects, cache, told, patienceMs);
  } catch (thrown) {
    await objects.close();
    throw thrown;
  }
}

class WholeSharedStore extends SharedResults implements SharedStore {
  constructor(
    objects: ObjectStore,
    cache: ObjectCache,
    told: (trouble: PlatehandError) => void,
    private readonly patienceMs: number,
  ) {
    super(objects, cache, told);
  }

  get address(): string {
    return this.objects.address;
  }

  async putInput(path: string, facts: FileHash): Promise<void> {
    await this.objects.putFile(objectOf(facts), path, facts);
  }

  async takeInput(facts: FileHash): Promise<TakenFile | undefined> {
    return this.cache.take(facts, this.bringing(facts));
  }

  async distrust(facts: FileHash): Promise<void> {
    await this.cache.distrust(facts);
  }

  async holds(page: string, key: string): Promise<ReadonlySet<ProductName>> {
    const kept = await this.keptOf(page, key);
    const held = new Set<ProductName>();
    for (const product of kept?.asked ?? []) {
      const outputs = kept?.result.outputs.filter((output) => output.product === product) ?? [];
      if (await this.areThere(outputs)) held.add(product);
    }
    return held;
  }

  async copyTo(
    page: string,
    key: string,
    products: readonly ProductName[],
    folder: string | undefined,
    isPromised = false,
  ): Promise<PageResult | undefined> {
    const until = isPromised ? performance.now() + this.patienceMs : 0;
    for (;;) {
      const copied = await this.copyOnce(page, key, products, folder);
      if (copied !== undefined || performance.now() >= until) return copied;
      await pause(askedAgainMs);
      await this.objects.lookAnew(recordsOf(pagePartOf(page)));
      await this.objects.lookAnew('objects/');
    }
  }

  async sweep(): Promise<number> {
    return sweepObjects(this.objects);
  }

  async close(): Promise<void> {
    await this.objects.close();
  }

  private async keptOf(page: string, key: string): Promise<KeptResult | undefined> {
    checkSha256(key);
    return (await keptOf(this.objects, pagePartOf(page), key))[0];
  }

  private async copyOnce(
    page: string,
    key: string,
    products: readonly ProductName[],
    folder: string | undefined,
  ): Promise<PageResult | undefined> {
    const kept = await this.keptOf(page, key);
    if (kept === undefined || !products.every((product) => kept.asked.includes(product))) return undefined;
    if (folder === undefined) return { ...kept.result, outputs: [] };
    const outputs = kept.result.outputs.filter(({ product }) => products.includes(product));
    for (const output of outputs) {
      checkFileName(output.name);
      if (!(await this.copyOne(output, join(folder, output.name)))) return undefined;
    }
    return { ...kept.result, outputs };
  }

  /** Copies a file from the cache; a cached file with other bytes is dropped, and the file fetched once more. */
  private async copyOne(facts: FileHash, toPath: string): Promise<boolean> {
    for (const isLast of [false, true]) {
      const taken = await this.cache.take(facts, this.bringing(facts));
      if (taken === undefined) return false;
      const { path, release } = taken;
      const write = (part: string) =>
        writeHashed(
          part,
          piecesOf(path, (thrown) => cannotRead(path, thrown)),
        );
      try {
        return await fetchChecked(toPath, {
          address: this.cache.folder,
          name: objectOf(facts),
          facts,
          write,
        });
      } catch (thrown) {
        const isDamaged = thrown instanceof PlatehandError && thrown.code === 'store-damaged';
        if (isLast || !isDamaged) throw thrown;
        await this.distrust(facts);
      } finally {
        release();
      }
    }
    return false;
  }
}
