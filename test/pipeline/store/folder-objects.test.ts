import { mkdir, mkdtemp, readdir, rename, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openFolderObjects } from '../../../pipeline/store/folder-objects.js';
import { sum } from '../../helpers/bags.js';
import { describeObjects, listed } from '../../helpers/object-store-conformance.js';

describeObjects('a shared folder', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'share-'));
  const store = await openFolderObjects(folder);
  return { store, pathOf: (name) => join(folder, name), end: () => rm(folder, { recursive: true }) };
});

const day = 24 * 3600;

describe('a shared folder', () => {
  let parent: string;
  let folder: string;
  beforeEach(async () => {
    parent = await mkdtemp(join(tmpdir(), 'share-'));
    folder = join(parent, 'store');
  });
  afterEach(() => rm(parent, { recursive: true }));

  test('is made with its mark where none is, by several at once', async () => {
    const opened = await Promise.all([1, 2, 3].map(() => openFolderObjects(folder)));
    expect(await readdir(folder)).toEqual(['platehand-store.json']);
    await opened[0].putText('results/a', 'x');
    expect(await opened[2].getText('results/a')).toBe('x');
  });

  test('is refused where other things are, where none may be made, and where nothing is above', async () => {
    await expect(openFolderObjects(join(folder, 'deep'))).rejects.toMatchObject({
      code: 'store-unreachable',
    });
    await expect(openFolderObjects(folder, false)).rejects.toMatchObject({ code: 'wrong-use' });
    expect(await readdir(parent)).toEqual([]);
    await mkdir(folder);
    await writeFile(join(folder, 'letter.txt'), '');
    await expect(openFolderObjects(folder)).rejects.toMatchObject({ code: 'wrong-use' });
    expect(await readdir(folder)).toEqual(['letter.txt']);
  });

  test('is refused when another version made it', async () => {
    await mkdir(folder);
    for (const mark of ['{"format":2}', 'torn']) {
      await writeFile(join(folder, 'platehand-store.json'), mark);
      await expect(openFolderObjects(folder)).rejects.toMatchObject({ code: 'wrong-use' });
    }
  });

  test('that goes away is not made anew, and nothing in it counts as missing', async () => {
    const store = await openFolderObjects(folder);
    await store.putText('results/a', 'x');
    await rename(folder, join(parent, 'away'));
    await mkdir(folder);
    const facts = { sha256: sum('sha256', Buffer.from('')), bytes: 0 };
    const asked = [
      () => store.putText('results/b', 'x'),
      () => store.putFile('objects/b', join(parent, 'none'), facts),
      () => store.getText('results/a'),
      () => store.getFile('results/a', join(parent, 'a'), facts),
      () => store.sizeOf('results/a'),
      () => store.remove('results/a'),
      () => listed(store, 'results/'),
    ];
    for (const ask of asked) await expect(ask()).rejects.toMatchObject({ code: 'store-unreachable' });
    expect(await readdir(folder)).toEqual([]);
  });

  test('renews an object that is put again after days, by the clock of the share', async () => {
    const store = await openFolderObjects(folder);
    const path = join(parent, 'source');
    await writeFile(path, 'ink');
    const facts = { sha256: sum('sha256', Buffer.from('ink')), bytes: 3 };
    const put = async (daysAgo: number) => {
      await store.putFile('objects/one', path, facts);
      const at = Date.now() / 1000 - daysAgo * day;
      await utimes(join(folder, 'objects/one'), at, at);
      await store.putFile('objects/one', path, facts);
      return (Date.now() - (await stat(join(folder, 'objects/one'))).mtimeMs) / 1000 / day;
    };
    expect(await put(1)).toBeCloseTo(1, 2);
    expect(await put(5)).toBeCloseTo(0, 2);
  });

  test('is cleared of unfinished files once they are old, and of nothing else', async () => {
    const store = await openFolderObjects(folder);
    await store.putText('objects/ab', 'x');
    await writeFile(join(folder, 'objects', '.old.part'), '1234');
    await utimes(join(folder, 'objects', '.old.part'), 1000, 1000);
    await writeFile(join(folder, 'objects', '.new.part'), '1234');
    expect(await store.clearUnfinished(Date.now() - 1000 * day)).toBe(4);
    expect((await readdir(join(folder, 'objects'))).sort()).toEqual(['.new.part', 'ab']);
    expect(Object.keys(await listed(store, ''))).toEqual(['objects/ab']);
  });
});
