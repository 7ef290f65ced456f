import { basename, dirname, join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import type { OutputFile, PageResult, ProductName, VersionChange } from '../model/page-result.js';
import type { PageProduct } from '../outputs/product.js';
import { inOrder, productRows } from '../outputs/products.js';
import { type FileHash, hashFile } from '../reading/hash-file.js';
import { type Bring, cachedMs, type ObjectCache } from './object-cache.js';
import { checkFileName, checkSha256, objectOf, pagePartOf } from './object-names.js';
import type { ObjectStore } from './object-store.js';
import { withoutSketches } from './result-files.js';
import type { ResultStore, StoredResult } from './result-store.js';
import { type KeptResult, keptOf, recordName, recordsOf, recordText } from './shared-records.js';
import { isGood, keptOlder, mayGive, outputsOf, type ProductKeys, takenOver } from './taking-over.js';

/** Results in a shared store: records in `results/`, files in `objects/`, and what somebody reads of them here in the cache. */
export class SharedResults implements ResultStore {
  /** @param told hears of objects that turned out to be damaged, and were removed so that they are made anew */
  constructor(
    protected readonly objects: ObjectStore,
    protected readonly cache: ObjectCache,
    private readonly told: (trouble: PlatehandError) => void,
  ) {}

  async find(page: string, key: string): Promise<StoredResult | undefined> {
    checkSha256(key);
    const [kept] = await keptOf(this.objects, pagePartOf(page), key);
    return kept && this.wholeOf(kept);
  }

  async findProducts(page: string, keys: ProductKeys): Promise<ReadonlySet<ProductName>> {
    const names = new Set<ProductName>();
    for (const stored of await this.all(page)) {
      for (const product of productRows) if (await this.gives(stored, product, keys)) names.add(product.name);
    }
    return names;
  }

  async has(page: string): Promise<boolean> {
    for await (const _ of this.objects.list(recordsOf(pagePartOf(page)))) return true;
    return false;
  }

  async newestKey(page: string): Promise<string | undefined> {
    return (await this.newest(page))?.result.key;
  }

  async newest(page: string): Promise<StoredResult | undefined> {
    return (await this.all(page))[0];
  }

  async newestGood(
    page: string,
    isWanted: (stored: StoredResult) => boolean = () => true,
  ): Promise<StoredResult | undefined> {
    for (const kept of await keptOf(this.objects, pagePartOf(page))) {
      const stored = isGood(kept) && isWanted(this.storedOf(kept)) ? await this.wholeOf(kept) : undefined;
      if (stored !== undefined) return stored;
    }
    return undefined;
  }

  async open(_page: string, key: string | undefined): Promise<string> {
    if (key !== undefined) checkSha256(key);
    return this.cache.openFolder();
  }

  async store(
    page: string,
    folder: string,
    made: PageResult,
    asked: readonly ProductName[],
    versions?: readonly VersionChange[],
    standing?: string,
  ): Promise<StoredResult> {
    for (const { name } of made.outputs) checkFileName(name);
    const earlier = await this.find(page, made.key);
    if (earlier !== undefined && asked.every((product) => earlier.asked.includes(product))) return earlier;
    const before = await keptOf(this.objects, pagePartOf(page));
    const all = before.map((kept) => this.storedOf(kept));
    const gives = (stored: StoredResult, product: PageProduct, keys: ProductKeys) =>
      this.gives(stored, product, keys);
    const over = await takenOver(made, asked, { earlier, all }, gives);
    const own = made.outputs.map((output) => ({ output, path: join(folder, output.name) }));
    // What is taken over is put as well, so that no sweep takes it before the record names it.
    const others = over.taken.map(({ from, output }) => ({ output, path: join(from.folder, output.name) }));
    for (const { output, path } of [...own, ...others]) await this.keep(output, path);
    const kept = earlier?.versions ?? versions;
    const record = {
      page,
      count: Math.max(0, ...before.map(({ count }) => count)) + 1,
      storedMs: Date.now(),
      asked: over.asked,
      result: { ...made, outputs: inOrder([...own, ...others].map(({ output }) => output)) },
      ...(kept && { versions: kept }),
    };
    const name = recordName(record);
    await this.objects.putText(name, recordText(record));
    const same = before.find(({ result }) => result.key === made.key)?.objects ?? [];
    for (const object of same) if (object !== name) await this.objects.remove(object);
    await this.forgetOlder(page, before, made.key, standing);
    const stored = await this.wholeOf({ ...record, objects: [name] });
    await this.cache.closeFolder(folder);
    if (stored === undefined) throw lostAgain(this.objects.address);
    return stored;
  }

  async discard(folder: string): Promise<void> {
    await this.cache.closeFolder(folder);
  }

  async remove(page: string, key: string): Promise<void> {
    const part = pagePartOf(page);
    checkSha256(key);
    for await (const { name } of this.objects.list(recordsOf(part, key))) await this.objects.remove(name);
    await this.cache.dropView(`${part}/${key}`);
  }

  async withSketches(stored: StoredResult): Promise<StoredResult> {
    // The folder tells the page's part of names.
    const [kept] = await keptOf(this.objects, basename(dirname(stored.folder)), stored.result.key);
    return kept === undefined
      ? stored
      : { ...stored, result: { ...stored.result, traces: kept.result.traces } };
  }

  async hasOwnBytes(stored: StoredResult): Promise<boolean> {
    return this.haveOwnBytes(stored, stored.result.outputs);
  }

  pathOf(page: string, key: string, output: string): string {
    checkSha256(key);
    checkFileName(output);
    return join(this.cache.viewFolder(`${pagePartOf(page)}/${key}`), output);
  }

  /** Brings an object into the cache. One that is damaged is removed: under its name nobody could put the right bytes otherwise. */
  protected bringing(facts: FileHash): Bring {
    const name = objectOf(facts);
    return async (toPath) => {
      try {
        return await this.objects.getFile(name, toPath, facts);
      } catch (thrown) {
        if (!(thrown instanceof PlatehandError) || thrown.code !== 'store-damaged') throw thrown;
        this.told(thrown);
        await this.objects.remove(name);
        return false;
      }
    };
  }

  /** Whether the store has these files, by their sizes. */
  protected async areThere(outputs: readonly OutputFile[]): Promise<boolean> {
    const sizes = await Promise.all(outputs.map((output) => this.objects.sizeOf(objectOf(output))));
    return outputs.every(({ bytes }, at) => sizes[at] === bytes);
  }

  private async all(page: string): Promise<StoredResult[]> {
    return (await keptOf(this.objects, pagePartOf(page))).map((kept) => this.storedOf(kept));
  }

  private storedOf({ page, result, asked, versions }: Omit<KeptResult, 'objects'>): StoredResult {
    const folder = this.cache.viewFolder(`${pagePartOf(page)}/${result.key}`);
    const writtenMs = Object.fromEntries(result.outputs.map(({ name }) => [name, cachedMs]));
    return { result: withoutSketches(result), asked, writtenMs, ...(versions && { versions }), folder };
  }

  /** The result with its files here; undefined where one is missing. */
  private async wholeOf(kept: KeptResult): Promise<StoredResult | undefined> {
    const stored = this.storedOf(kept);
    return (await this.areHere(stored, stored.result.outputs)) ? stored : undefined;
  }

  private async areHere({ folder }: StoredResult, outputs: readonly OutputFile[]): Promise<boolean> {
    if (!(await this.areThere(outputs))) return false;
    const files = outputs.map((facts) => ({ name: facts.name, facts, bring: this.bringing(facts) }));
    const view = `${basename(dirname(folder))}/${basename(folder)}`;
    return (await this.cache.view(view, files)) !== undefined;
  }

  private async gives(stored: StoredResult, product: PageProduct, keys: ProductKeys): Promise<boolean> {
    if (!mayGive(stored, product, keys)) return false;
    const outputs = outputsOf(stored, product);
    return (await this.areHere(stored, outputs)) && this.haveOwnBytes(stored, outputs);
  }

  private async haveOwnBytes(stored: StoredResult, outputs: readonly OutputFile[]): Promise<boolean> {
    const isRight = async ({ name, sha256 }: OutputFile) => {
      const found = await hashFile(join(stored.folder, name)).catch(() => undefined);
      return found?.sha256 === sha256;
    };
    for (const output of outputs) {
      if (await isRight(output)) continue;
      // The copy here may be at fault, and not what the store has.
      await this.cache.distrust(output);
      if (!(await this.areHere(stored, [output])) || !(await isRight(output))) return false;
    }
    return true;
  }

  /** Puts a file of a result, and keeps it here as well. */
  private async keep(output: OutputFile, path: string): Promise<void> {
    await this.objects.putFile(objectOf(output), path, output);
    await this.cache.adopt(path, output);
  }

  private async forgetOlder(
    page: string,
    before: readonly KeptResult[],
    newestKey: string,
    standing: string | undefined,
  ): Promise<void> {
    const others = before.filter(({ result }) => result.key !== newestKey);
    if (others.length <= keptOlder) return;
    const good = await this.goodKey(page);
    for (const { result } of others.slice(keptOlder)) {
      if (result.key !== good && result.key !== standing) await this.remove(page, result.key);
    }
  }

  /** As `newestGood`, and brings nothing here. */
  private async goodKey(page: string): Promise<string | undefined> {
    for (const kept of await keptOf(this.objects, pagePartOf(page))) {
      if (isGood(kept) && (await this.areThere(kept.result.outputs))) return kept.result.key;
    }
    return undefined;
  }
}

function lostAgain(address: string): PlatehandError {
  return new PlatehandError(
    'store-unreachable',
    `The store ${address} has lost what was put there a moment ago`,
    'Check its disk, and whether somebody removes files from it.',
  );
}
