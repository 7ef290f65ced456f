import { appendFile, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { ListedObject, ObjectStore } from '../../pipeline/store/object-store.js';
import { sum } from './bags.js';

/** A store for one test. */
export interface OpenedObjects {
  readonly store: ObjectStore;
  /** Where the bytes of an object really lie, for those who harm them. */
  readonly pathOf: (name: string) => string;
  readonly end: () => Promise<void>;
}

/** Names that could mean another place, or an unfinished file. */
const hostileNames = [
  '',
  '/etc/x',
  '../x',
  'a/../b',
  'a//b',
  '.hidden',
  'a/.b',
  'a\\b',
  'a b',
  'a\n',
  'ä',
  'C:x',
  'a'.repeat(700),
];

/** A listing as a table of sizes. */
export async function listed(store: ObjectStore, prefix: string): Promise<Record<string, number>> {
  const found: ListedObject[] = [];
  for await (const object of store.list(prefix)) found.push(object);
  return Object.fromEntries(found.map(({ name, bytes }) => [name, bytes]));
}

/** What every store of objects has to keep to (store/object-store.ts). */
export function describeObjects(name: string, open: () => Promise<OpenedObjects>): void {
  describe(`objects in ${name}`, () => {
    let here: string;
    let opened: OpenedObjects;
    let store: ObjectStore;
    beforeEach(async () => {
      here = await mkdtemp(join(tmpdir(), 'objects-'));
      opened = await open();
      ({ store } = opened);
    });
    afterEach(async () => {
      await store.close();
      await opened.end();
      await rm(here, { recursive: true });
    });

    const fileOf = async (content: string) => {
      const path = join(here, 'source');
      await writeFile(path, content);
      return {
        path,
        facts: { sha256: sum('sha256', Buffer.from(content)), bytes: Buffer.byteLength(content) },
      };
    };
    const put = async (object: string, content: string) => {
      const { path, facts } = await fileOf(content);
      await store.putFile(object, path, facts);
      return facts;
    };
    const target = () => join(here, 'fetched');

    test('come back as they were put, and only those that were', async () => {
      const facts = await put('objects/ab/one', 'ink on paper');
      expect(await store.getFile('objects/ab/one', target(), facts)).toBe(true);
      expect(await readFile(target(), 'utf8')).toBe('ink on paper');
      expect(await store.sizeOf('objects/ab/one')).toBe(12);
      expect(await store.sizeOf('objects/ab/two')).toBeUndefined();
      expect(await store.sizeOf('objects/ab')).toBeUndefined();
      expect(await store.getFile('objects/ab/two', join(here, 'none'), facts)).toBe(false);
      expect((await readdir(here)).sort()).toEqual(['fetched', 'source']);
    });

    test('may be empty', async () => {
      const facts = await put('objects/ab/none', '');
      expect(await store.getFile('objects/ab/none', target(), facts)).toBe(true);
      expect((await stat(target())).size).toBe(0);
    });

    test('may be put by several at once, and again', async () => {
      const { path, facts } = await fileOf('ink');
      await Promise.all([1, 2, 3, 4].map(() => store.putFile('objects/one', path, facts)));
      await store.putFile('objects/one', path, facts);
      expect(await listed(store, 'objects/')).toEqual({ 'objects/one': 3 });
    });

    test('are not put when the file has changed since it was known', async () => {
      const { path, facts } = await fileOf('ink');
      for (const content of ['oil', 'ink and more', 'in']) {
        await writeFile(path, content);
        await expect(store.putFile('objects/one', path, facts)).rejects.toMatchObject({
          code: 'picture-changed',
        });
      }
      await rm(path);
      await expect(store.putFile('objects/one', path, facts)).rejects.toMatchObject({
        code: 'picture-unreadable',
      });
      expect(await listed(store, '')).toEqual({});
    });

    test('are refused when they are damaged, and leave nothing here', async () => {
      const facts = await put('objects/one', 'ink');
      await writeFile(opened.pathOf('objects/one'), 'oil');
      await expect(store.getFile('objects/one', target(), facts)).rejects.toMatchObject({
        code: 'store-damaged',
      });
      expect(await readdir(here)).toEqual(['source']);
    });

    test('take the place of one of another size, which can only be damaged', async () => {
      const facts = await put('objects/one', 'ink');
      await appendFile(opened.pathOf('objects/one'), '!');
      await put('objects/one', 'ink');
      expect(await store.getFile('objects/one', target(), facts)).toBe(true);
    });

    test('cannot be brought where no folder is, which is told of the folder', async () => {
      const facts = await put('objects/one', 'ink');
      const fetched = store.getFile('objects/one', join(here, 'gone', 'one'), facts);
      await expect(fetched).rejects.toMatchObject({ code: 'write-failed' });
    });

    test('may be texts, which are replaced as a whole', async () => {
      expect(await store.getText('results/a.json')).toBeUndefined();
      await store.putText('results/a.json', 'schön');
      await store.putText('results/a.json', '{}');
      expect(await store.getText('results/a.json')).toBe('{}');
    });

    test('are listed by how their names begin', async () => {
      for (const object of ['results/p/1', 'results/p/12', 'results/q/1', 'objects/1'])
        await store.putText(object, 'x');
      expect(Object.keys(await listed(store, 'results/')).sort()).toEqual([
        'results/p/1',
        'results/p/12',
        'results/q/1',
      ]);
      expect(Object.keys(await listed(store, 'results/p/1')).sort()).toEqual(['results/p/1', 'results/p/12']);
      expect(await listed(store, 'other/')).toEqual({});
      expect(Object.keys(await listed(store, ''))).toHaveLength(4);
    });

    test('tell when they were put', async () => {
      await store.putText('clock/me', '');
      for await (const { changedMs } of store.list('clock/')) {
        expect(Math.abs(changedMs - Date.now())).toBeLessThan(10_000);
      }
    });

    test('are removed, also twice', async () => {
      await store.putText('results/a', 'x');
      await store.remove('results/a');
      await store.remove('results/a');
      expect(await store.getText('results/a')).toBeUndefined();
      await store.lookAnew('results/');
      expect(await listed(store, '')).toEqual({});
    });

    test('have no names that could mean another place', async () => {
      const { path, facts } = await fileOf('ink');
      for (const hostile of hostileNames) {
        const asked: (() => Promise<unknown>)[] = [
          () => store.putFile(hostile, path, facts),
          () => store.putText(hostile, ''),
          () => store.getText(hostile),
          () => store.getFile(hostile, target(), facts),
          () => store.sizeOf(hostile),
          () => store.remove(hostile),
        ];
        for (const ask of asked) {
          await expect(Promise.resolve().then(ask)).rejects.toMatchObject({ code: 'wrong-use' });
        }
      }
      expect(await listed(store, '')).toEqual({});
    });
  });
}
