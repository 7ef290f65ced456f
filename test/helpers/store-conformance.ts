import { appendFile, mkdtemp, readFile, rm, stat, unlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Finding } from '../../pipeline/model/findings.js';
import type { OutputFile, PageResult, ProductName } from '../../pipeline/model/page-result.js';
import { pageProducts } from '../../pipeline/outputs/products.js';
import type { ResultStore, StoredResult } from '../../pipeline/store/result-store.js';
import { sum } from './bags.js';

const page = 'QRY02_1';
const keyA = 'a'.repeat(64);
const keyB = 'b'.repeat(64);

const stop: Finding = {
  code: 'bleed-missing',
  severity: 'stop',
  page: '1',
  file: undefined,
  message: 'The page has the shape of the trim, without bleed',
  measured: undefined,
  limit: undefined,
  source: undefined,
  remedy: 'Export the page with its bleed.',
};

/** The first file of a product with such content, as a page's work says it. */
function outputOf(product: ProductName, content: string): OutputFile {
  const { roles, suffixOf } = pageProducts[product];
  const [role] = roles;
  const bytes = Buffer.from(content);
  const size = { width: 1, height: 1, ppi: 300 };
  return {
    product,
    role,
    name: `${page}${suffixOf(role)}`,
    bytes: bytes.length,
    sha256: sum('sha256', bytes),
    ...size,
  };
}

/** A result of these products; each one's key is its content. */
export function madeOf(
  key: string,
  contents: Partial<Record<ProductName, string>>,
  findings: readonly Finding[] = [],
): PageResult {
  const named = (product: ProductName) => contents[product] ?? `${product} of ${key}`;
  const products = Object.keys(contents) as ProductName[];
  return {
    page: '1',
    key,
    productKeys: {
      press: named('press'),
      plates: named('plates'),
      pdf: named('pdf'),
      proof: named('proof'),
      thumbnail: named('thumbnail'),
      views: named('views'),
    },
    condition: {
      id: 'cgats-tr006',
      title: '',
      dataSet: undefined,
      profileSha256: '',
      inks: ['cyan', 'magenta', 'yellow', 'black'],
      inkLimitPercent: 320,
      inkLimitSource: '',
    },
    used: [{ name: '1.tif', part: 'whole', version: undefined, bytes: 1, sha256: '' }],
    findings,
    measures: undefined,
    traces: undefined,
    outputs: products.map((product) => outputOf(product, contents[product] ?? '')),
  };
}

/** Opens a folder, writes what was made, and stores it. */
export async function storeMade(
  store: ResultStore,
  made: PageResult,
  contents: Partial<Record<ProductName, string>>,
  asked = Object.keys(contents) as ProductName[],
): Promise<StoredResult> {
  const folder = await store.open(page, made.key);
  for (const output of made.outputs)
    await writeFile(join(folder, output.name), contents[output.product] ?? '');
  return store.store(page, folder, made, asked);
}

/** Does something to a file. */
type Deed = (path: string) => Promise<void>;

/** Does it to a file of a result wherever the store keeps it. */
export type Harm = (jobFolder: string, stored: StoredResult, output: OutputFile, deed: Deed) => Promise<void>;

/** The file in the result's folder: all there is, where a store keeps its files there. */
export const harmInFolder: Harm = (_, { folder }, { name }, deed) => deed(join(folder, name));

/**
 * What every store has to keep to (store/result-store.ts).
 * @param open a store of a job in that folder
 * @param harm for a store that keeps its files elsewhere as well; default `harmInFolder`
 */
export function describeStore(
  name: string,
  open: (jobFolder: string) => ResultStore | Promise<ResultStore>,
  harm: Harm = harmInFolder,
): void {
  describe(`results in ${name}`, () => {
    let job: string;
    let store: ResultStore;
    beforeEach(async () => {
      job = await mkdtemp(join(tmpdir(), 'store-'));
      store = await open(job);
    });
    afterEach(() => rm(job, { recursive: true }));

    const put = (
      key: string,
      contents: Partial<Record<ProductName, string>>,
      findings: readonly Finding[] = [],
      asked?: ProductName[],
    ) => storeMade(store, madeOf(key, contents, findings), contents, asked);
    const contentOf = async ({ folder }: StoredResult, product: ProductName) =>
      readFile(join(folder, outputOf(product, '').name), 'utf8');

    test('are found by their key once they are stored, and not before', async () => {
      expect(await store.find(page, keyA)).toBeUndefined();
      expect(await store.has(page)).toBe(false);
      const folder = await store.open(page, keyA);
      await writeFile(join(folder, outputOf('proof', '').name), 'dots');
      expect(await store.find(page, keyA)).toBeUndefined();
      expect(await store.has(page)).toBe(false);
      await store.store(page, folder, madeOf(keyA, { proof: 'dots' }), ['proof']);
      const found = await store.find(page, keyA);
      expect(found?.asked).toEqual(['proof']);
      expect(found?.result.outputs).toEqual([outputOf('proof', 'dots')]);
      expect(await readFile(store.pathOf(page, keyA, outputOf('proof', '').name), 'utf8')).toBe('dots');
      expect(await store.has(page)).toBe(true);
    });

    test('are as they were when another process looks', async () => {
      const stored = await put(keyA, { proof: 'dots' });
      expect(await (await open(job)).find(page, keyA)).toEqual(stored);
    });

    test('keep their sketches apart, for whoever asks', async () => {
      const sketch = { width: 6, height: 9, ppi: 72, corners: [0, 0], depths: 'AA==' };
      const traces = {
        colour: { columns: 1, rows: 1, bits: 'AQ==', sketch },
        line: undefined,
        lettering: { columns: 1, rows: 1, bits: 'AA==', sketch: undefined },
      };
      const stored = await storeMade(store, { ...madeOf(keyA, {}), traces }, {}, []);
      const found = await (await open(job)).find(page, keyA);
      if (found === undefined) throw new Error('nothing was found');
      for (const { result } of [stored, found]) expect(result.traces?.colour?.sketch).toBeUndefined();
      expect((await store.withSketches(found)).result.traces).toEqual(traces);
      await store.remove(page, keyA);
      expect(await store.withSketches(found)).toEqual(found);
    });

    test('leave nothing behind when their work is given up, however often', async () => {
      const folder = await store.open(page, undefined);
      await writeFile(join(folder, 'half'), 'h');
      await store.discard(folder);
      await store.discard(folder);
      expect(await store.has(page)).toBe(false);
      expect(await store.newest(page)).toBeUndefined();
    });

    test('get a folder each, also for the same key at the same time', async () => {
      const folders = await Promise.all([1, 2, 3].map(() => store.open(page, keyA)));
      expect(new Set(folders).size).toBe(3);
    });

    test('may be stored again with the same outcome', async () => {
      const first = await put(keyA, { proof: 'dots' });
      expect(await put(keyA, { proof: 'dots' })).toEqual(first);
    });

    test('gather the products of one key, whoever made them', async () => {
      await put(keyA, { proof: 'dots', thumbnail: 'dot' });
      const both = await put(keyA, { press: 'ink' });
      expect(both.asked).toEqual(['press', 'proof', 'thumbnail']);
      expect(both.result.outputs.map(({ product }) => product)).toEqual(['press', 'proof', 'thumbnail']);
      expect(await contentOf(both, 'proof')).toBe('dots');
      expect(await store.find(page, keyA)).toEqual(both);
    });

    test('take over from an older result what has the same product key', async () => {
      await put(keyA, { press: 'ink', proof: 'dots' });
      const made = madeOf(keyB, { press: 'ink', proof: 'new dots' });
      expect(await store.findProducts(page, made.productKeys)).toEqual(new Set(['press']));
      const outputs = made.outputs.filter(({ product }) => product === 'proof');
      const stored = await storeMade(store, { ...made, outputs }, { proof: 'new dots' });
      expect(stored.asked).toEqual(['press', 'proof']);
      expect(await contentOf(stored, 'press')).toBe('ink');
      expect(await contentOf(stored, 'proof')).toBe('new dots');
    });

    test('take nothing over that somebody has written to, not even with its time set back', async () => {
      const stored = await put(keyA, { press: 'ink', proof: 'dots' });
      const { result } = stored;
      await harm(job, stored, result.outputs[0], async (path) => {
        const { atimeMs, mtimeMs } = await stat(path);
        await writeFile(path, 'oil');
        await utimes(path, atimeMs / 1000, mtimeMs / 1000);
      });
      expect(await store.findProducts(page, result.productKeys)).toEqual(new Set(['proof']));
    });

    test('of a stopped page get no press files from an older one, and give none', async () => {
      await put(keyA, { press: 'ink', proof: 'dots' });
      const stopped = await put(keyB, { proof: 'new dots' }, [stop], ['proof', 'press']);
      expect(stopped.result.outputs.map(({ product }) => product)).toEqual(['proof']);
      await store.remove(page, keyA);
      const keys = madeOf(keyB, {}).productKeys;
      expect(await store.findProducts(page, keys)).toEqual(new Set());
    });

    test('are not believed when a file is gone, longer, or written to', async () => {
      const stored = await put(keyA, { proof: 'dots' });
      const { result } = stored;
      await harm(job, stored, result.outputs[0], (path) => appendFile(path, '!'));
      expect(await store.find(page, keyA)).toBeUndefined();
      expect(await store.findProducts(page, result.productKeys)).toEqual(new Set());
      await harm(job, stored, result.outputs[0], unlink);
      expect(await store.find(page, keyA)).toBeUndefined();
    });

    test('have their own bytes, or are told from those that have not', async () => {
      const stored = await put(keyA, { proof: 'dots' });
      expect(await store.hasOwnBytes(stored)).toBe(true);
      await harm(job, stored, stored.result.outputs[0], (path) => writeFile(path, 'spot'));
      expect(await store.hasOwnBytes(stored)).toBe(false);
    });

    test('are forgotten when asked for, also twice', async () => {
      await put(keyA, { proof: 'dots' });
      await store.remove(page, keyA);
      await store.remove(page, keyA);
      expect(await store.find(page, keyA)).toBeUndefined();
    });

    test('are kept for the newest versions of a page only', async () => {
      const keys = ['1', '2', '3', '4', '5'].map((digit) => digit.repeat(64));
      for (const key of keys) await put(key, { proof: key });
      expect((await store.newest(page))?.result.key).toBe(keys[4]);
      const found = await Promise.all(keys.map((key) => store.find(page, key)));
      const kept = found.filter((stored) => stored !== undefined).length;
      expect(found[4]).toBeDefined();
      expect(kept).toBeGreaterThan(1);
      expect(kept).toBeLessThan(keys.length);
    });

    test('are kept when they are the last good one, however many broken ones follow', async () => {
      const files = { press: 'inks', plates: 'plates', pdf: 'pages', proof: 'dots' };
      await put(keyA, files);
      expect((await store.newestGood(page))?.result.key).toBe(keyA);
      const broken = ['1', '2', '3', '4', '5'].map((digit) => digit.repeat(64));
      for (const key of broken) await put(key, { proof: key }, [stop]);
      expect((await store.newestGood(page))?.result.key).toBe(keyA);
      await put(keyB, { proof: 'proofed only' });
      expect((await store.newestGood(page))?.result.key).toBe(keyA);
      await put(keyB, { ...files, press: 'other inks', proof: 'proofed only' });
      expect((await store.newestGood(page))?.result.key).toBe(keyB);
    });
  });
}
