import { mkdir, mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { PlatehandError } from '../../../config/errors.js';
import type { ProductName } from '../../../pipeline/model/page-result.js';
import { objectOf, pagePartOf } from '../../../pipeline/store/object-names.js';
import { openSharedStore } from '../../../pipeline/store/open-shared-store.js';
import { recordText } from '../../../pipeline/store/shared-records.js';
import type { SharedStore } from '../../../pipeline/store/shared-store.js';
import { sum } from '../../helpers/bags.js';
import { madeOf, storeMade } from '../../helpers/store-conformance.js';

const page = 'QRY02_1';
const key = 'a'.repeat(64);
const day = 24 * 3600;

describe('two machines with one store', () => {
  let place: string;
  let one: SharedStore;
  let other: SharedStore;
  const told: PlatehandError[] = [];
  const openAs = (machine: string) =>
    openSharedStore(join(place, 'store'), {
      cacheFolder: join(place, machine),
      patienceMs: 1000,
      told: (trouble) => told.push(trouble),
    });
  beforeEach(async () => {
    place = await mkdtemp(join(tmpdir(), 'machines-'));
    one = await openAs('one');
    other = await openAs('other');
    told.length = 0;
  });
  afterEach(async () => {
    vi.restoreAllMocks();
    await rm(place, { recursive: true });
  });

  const put = (store: SharedStore, contents: Partial<Record<ProductName, string>>, of = key) =>
    storeMade(store, madeOf(of, contents), contents);
  const fileOf = async (content: string) => {
    const path = join(place, 'source');
    await writeFile(path, content);
    return { path, facts: { sha256: sum('sha256', Buffer.from(content)), bytes: content.length } };
  };
  const inStore = (name: string) => join(place, 'store', name);
  const target = async () => {
    await mkdir(join(place, 'target'), { recursive: true });
    return join(place, 'target');
  };

  test('have what the other has stored, or some products of it', async () => {
    const { result } = await put(one, { press: 'ink', proof: 'dots' });
    expect((await other.find(page, key))?.result).toEqual(result);
    expect(await other.holds(page, key)).toEqual(new Set(['press', 'proof']));
    const copied = await other.copyTo(page, key, ['proof'], await target());
    const [proof] = result.outputs.filter(({ product }) => product === 'proof');
    expect(copied?.outputs).toEqual([proof]);
    expect(await readdir(await target())).toEqual([proof.name]);
    expect(await readFile(join(await target(), proof.name), 'utf8')).toBe('dots');
    expect(await other.copyTo(page, key, ['plates'], await target())).toBeUndefined();
    expect(await other.holds(page, 'b'.repeat(64))).toEqual(new Set());
  });

  test('lose nothing when both store a product of one page at the same moment', async () => {
    await Promise.all([put(one, { press: 'ink' }), put(other, { proof: 'dots' })]);
    const found = await one.find(page, key);
    expect(found?.asked).toEqual(['press', 'proof']);
    expect(found?.result.outputs.map(({ product }) => product)).toEqual(['press', 'proof']);
  });

  test('agree on what is newest, whatever their clocks say', async () => {
    const years = 3 * 365 * day * 1000;
    const now = Date.now();
    await put(one, { proof: 'dots' });
    vi.spyOn(Date, 'now').mockImplementation(() => now - years);
    await put(other, { proof: 'spots' }, 'b'.repeat(64));
    expect(await one.newestKey(page)).toBe('b'.repeat(64));
  });

  test('wait a little for what the other says it has put', async () => {
    const copying = one.copyTo(page, key, ['proof'], await target(), true);
    await put(other, { proof: 'dots' });
    expect((await copying)?.key).toBe(key);
  });

  test('take working files by their checksum, once each', async () => {
    const { path, facts } = await fileOf('a page');
    expect(await other.takeInput(facts)).toBeUndefined();
    await one.putInput(path, facts);
    const taken = await Promise.all([1, 2].map(() => other.takeInput(facts)));
    for (const each of taken) expect(await readFile(each?.path ?? '', 'utf8')).toBe('a page');
    for (const each of taken) each?.release();
    await writeFile(path, 'another');
    await expect(one.putInput(path, { ...facts, sha256: 'c'.repeat(64) })).rejects.toMatchObject({
      code: 'picture-changed',
    });
  });

  test('fetch again what turned out to be other bytes here', async () => {
    const { path, facts } = await fileOf('a page');
    await one.putInput(path, facts);
    const taken = await one.takeInput(facts);
    await writeFile(taken?.path ?? '', 'b page');
    await utimes(taken?.path ?? '', new Date(), new Date('2000-01-01T00:00:00Z'));
    await one.distrust(facts);
    const again = await one.takeInput(facts);
    expect(await readFile(again?.path ?? '', 'utf8')).toBe('a page');
  });

  test('count a damaged object as missing, say so, and may put it again', async () => {
    const { path, facts } = await fileOf('a page');
    await one.putInput(path, facts);
    await writeFile(inStore(objectOf(facts)), 'b page');
    expect(await other.takeInput(facts)).toBeUndefined();
    expect(told.map(({ code }) => code)).toEqual(['store-damaged']);
    await one.putInput(path, facts);
    expect(await other.takeInput(facts)).toBeDefined();
  });

  test('sweep what nobody names, two weeks after it was put, by the clock of the store', async () => {
    const { result } = await put(one, { proof: 'dots' });
    const old = await fileOf('an old page');
    await one.putInput(old.path, old.facts);
    const young = await fileOf('a young page');
    await one.putInput(young.path, young.facts);
    const age = (name: string, days: number) => {
      const at = Date.now() / 1000 - days * day;
      return utimes(inStore(name), at, at);
    };
    await age(objectOf(result.outputs[0]), 100);
    await age(objectOf(old.facts), 15);
    await age(objectOf(young.facts), 13);
    vi.spyOn(Date, 'now').mockImplementation(() => 0);
    expect(await other.sweep()).toBe('an old page'.length);
    expect(await readdir(inStore('clock'))).toEqual([]);
    vi.restoreAllMocks();
    expect(await other.takeInput(old.facts)).toBeUndefined();
    expect(await other.takeInput(young.facts)).toBeDefined();
    expect(await (await openAs('third')).find(page, key)).toBeDefined();
  });

  test('sweep nothing that a record names which cannot be read', async () => {
    const { result } = await put(one, { proof: 'dots' });
    const name = objectOf(result.outputs[0]);
    const records = inStore(`results/${pagePartOf(page)}`);
    const [record] = await readdir(records);
    await writeFile(join(records, record), `torn ${result.outputs[0].sha256} torn`);
    await utimes(inStore(name), 1000, 1000);
    expect(await one.find(page, key)).toBeUndefined();
    expect(await one.sweep()).toBe(0);
    expect(await readFile(inStore(name), 'utf8')).toBe('dots');
  });

  test('name pages in any language, apart by every letter', async () => {
    const names = ['ページ 1', 'página/1', 'Ä', 'ä', '..', 'x'.repeat(300)];
    for (const name of names) {
      const made = madeOf(key, {});
      await one.store(name, await one.open(name, key), made, ['proof']);
    }
    for (const name of names) expect(await other.has(name)).toBe(true);
    expect(await other.has('å')).toBe(false);
    expect(await readdir(inStore('results'))).toHaveLength(names.length);
  });

  test('take no name that leaves its folder, from whomever', async () => {
    const made = madeOf(key, { proof: 'dots' });
    for (const name of ['../x', 'a/b', 'a\\b', '..', '', 'a\u0000', 'a\n']) {
      const outputs = [{ ...made.outputs[0], name }];
      const hostile = { ...made, outputs };
      await expect(one.store(page, await one.open(page, key), hostile, ['proof'])).rejects.toMatchObject({
        code: 'wrong-use',
      });
      const text = recordText({ page, count: 1, storedMs: 0, asked: ['proof'], result: hostile });
      await mkdir(inStore(`results/${pagePartOf(page)}`), { recursive: true });
      await writeFile(inStore(`results/${pagePartOf(page)}/${key}.proof.json`), text);
      expect(await one.find(page, key)).toBeUndefined();
    }
    for (const wrong of ['../../x', 'A'.repeat(64), '']) {
      await expect(one.find(page, wrong)).rejects.toMatchObject({ code: 'wrong-use' });
      await expect(one.takeInput({ sha256: wrong, bytes: 1 })).rejects.toMatchObject({ code: 'wrong-use' });
      expect(() => one.pathOf(page, wrong, 'x')).toThrow('takes no checksum');
    }
  });
});
