import { mkdir, mkdtemp, readdir, readFile, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { FileHash } from '../../../pipeline/reading/hash-file.js';
import { ObjectCache } from '../../../pipeline/store/object-cache.js';
import { objectOf } from '../../../pipeline/store/object-names.js';
import { sum } from '../../helpers/bags.js';

const factsOf = (content: string): FileHash => ({
  sha256: sum('sha256', Buffer.from(content)),
  bytes: content.length,
});

describe('a cache of objects', () => {
  let folder: string;
  let fetched: string[];
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'cache-'));
    fetched = [];
  });
  afterEach(() => rm(folder, { recursive: true }));

  const bringing = (content: string) => async (path: string) => {
    fetched.push(content);
    await writeFile(path, content);
    return true;
  };
  const take = (cache: ObjectCache, content: string) => cache.take(factsOf(content), bringing(content));
  const isThere = (content: string) =>
    stat(join(folder, objectOf(factsOf(content)))).then(
      () => true,
      () => false,
    );
  /** Sets when a file was used last. */
  const used = (content: string, secondsAgo: number) =>
    utimes(join(folder, objectOf(factsOf(content))), Date.now() / 1000 - secondsAgo, 946_684_800);
  const content = (letter: string) => letter.repeat(100);

  test('fetches once what several ask for at the same time, and a later process finds it', async () => {
    const cache = await ObjectCache.open(folder);
    const taken = await Promise.all([1, 2, 3].map(() => take(cache, 'ink')));
    expect(new Set(taken.map((each) => each?.path)).size).toBe(3);
    expect(await readFile(taken[0]?.path ?? '', 'utf8')).toBe('ink');
    await take(await ObjectCache.open(folder), 'ink');
    expect(fetched).toEqual(['ink']);
  });

  test('has nothing of what is not there or cannot be brought, and asks again', async () => {
    const cache = await ObjectCache.open(folder);
    expect(await cache.take(factsOf('ink'), async () => false)).toBeUndefined();
    const failing = cache.take(factsOf('ink'), () => Promise.reject(new Error('no way')));
    await expect(failing).rejects.toThrow('no way');
    expect(await readdir(join(folder, 'coming'))).toEqual([]);
    expect(await take(cache, 'ink')).toBeDefined();
  });

  test('lets go first of what was not used for longest, and never of what is taken', async () => {
    const cache = await ObjectCache.open(folder, 350);
    const held = await take(cache, content('a'));
    for (const letter of ['b', 'c']) (await take(cache, content(letter)))?.release();
    await expect.poll(() => readdir(join(folder, 'held'))).toHaveLength(1);
    await used(content('a'), 300);
    await used(content('b'), 100);
    await used(content('c'), 200);
    await take(cache, content('d'));
    expect(await Promise.all(['a', 'b', 'c', 'd'].map((letter) => isThere(content(letter))))).toEqual([
      true,
      true,
      false,
      true,
    ]);
    expect(await readFile(held?.path ?? '', 'utf8')).toBe(content('a'));
  });

  test('counts what another process has added', async () => {
    const cache = await ObjectCache.open(folder, 350);
    const other = await ObjectCache.open(folder, 350);
    for (const letter of ['a', 'b', 'c']) (await take(other, content(letter)))?.release();
    await expect.poll(() => readdir(join(folder, 'held'))).toEqual([]);
    await take(cache, content('d'));
    expect(await readdir(join(folder, 'objects'), { recursive: true })).not.toHaveLength(8);
    expect(await isThere(content('d'))).toBe(true);
  });

  test('lets go of results that nobody has looked at for an hour', async () => {
    const cache = await ObjectCache.open(folder, 250);
    const file = (letter: string) => ({
      name: 'a.tif',
      facts: factsOf(content(letter)),
      bring: bringing(content(letter)),
    });
    const view = (await cache.view('page/one', [file('a')])) ?? '';
    expect(await readFile(join(view, 'a.tif'), 'utf8')).toBe(content('a'));
    await cache.view('page/two', [file('b')]);
    await utimes(view, 1000, 1000);
    await take(cache, content('c'));
    expect(await readdir(join(folder, 'views', 'page'))).toEqual(['two']);
    expect(await isThere(content('a'))).toBe(false);
  });

  test('fetches again what was written to, and what is distrusted', async () => {
    const cache = await ObjectCache.open(folder);
    const taken = await take(cache, 'ink');
    await writeFile(taken?.path ?? '', 'oil');
    expect(await readFile((await take(cache, 'ink'))?.path ?? '', 'utf8')).toBe('ink');
    await cache.distrust(factsOf('ink'));
    await cache.distrust(factsOf('ink'));
    await take(cache, 'ink');
    expect(fetched).toHaveLength(3);
  });

  test('is cleared of what dead processes were at, and not of what others are at', async () => {
    await ObjectCache.open(folder);
    const machine = sum('sha256', Buffer.from(hostname())).slice(0, 6);
    // Beyond what any system gives to processes.
    const dead = `${machine}-2147483646`;
    await writeFile(join(folder, 'coming', `${dead}.1`), 'half');
    await writeFile(join(folder, 'coming', `.${dead}.1.${dead}.abc.part`), 'half');
    await writeFile(join(folder, 'held', `${dead}.2`), 'held');
    await mkdir(join(folder, 'open', `${dead}.3`));
    await writeFile(join(folder, 'held', 'ffffff-4711.1'), 'of another machine');
    const own = await (await ObjectCache.open(folder)).openFolder();
    await ObjectCache.open(folder);
    expect(await readdir(join(folder, 'coming'))).toEqual([]);
    expect(await readdir(join(folder, 'held'))).toEqual(['ffffff-4711.1']);
    expect((await stat(own)).isDirectory()).toBe(true);
    expect(await readdir(join(folder, 'open'))).toHaveLength(1);
  });
});
