import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { localStore } from '../../../pipeline/store/local-store.js';
import type { ResultStore } from '../../../pipeline/store/result-store.js';
import { describeStore, madeOf, storeMade } from '../../helpers/store-conformance.js';

/** Error codes that the system is to answer with, once each, in place of renaming a folder of results. */
const refusals = vi.hoisted(() => [] as string[]);
vi.mock('node:fs/promises', async (original) => {
  const fs = await original<typeof import('node:fs/promises')>();
  const rename: typeof fs.rename = async (from, to) => {
    const code = String(to).endsWith(key) ? refusals.shift() : undefined;
    if (code !== undefined) throw Object.assign(new Error(code), { code });
    await fs.rename(from, to);
  };
  return { ...fs, rename };
});

const key = 'a'.repeat(64);

describeStore('a local folder', localStore);

describe('a finished result gets its name', () => {
  let job: string;
  let store: ResultStore;
  beforeEach(async () => {
    job = await mkdtemp(join(tmpdir(), 'results-'));
    store = localStore(job);
  });
  afterEach(async () => {
    refusals.length = 0;
    await rm(job, { recursive: true });
  });

  const put = () => storeMade(store, madeOf(key, { proof: 'dots' }), { proof: 'dots' });

  test('although a scanner holds its folder for a moment', async () => {
    refusals.push('EPERM', 'EBUSY');
    const { folder } = await put();
    expect(await readdir(dirname(folder))).toEqual([key]);
    expect(await store.find('QRY02_1', key)).toMatchObject({ asked: ['proof'] });
    expect(refusals).toEqual([]);
  });

  test('or not, where the disk refuses it for another reason', async () => {
    refusals.push('EIO');
    await expect(put()).rejects.toThrow('EIO');
    expect(await store.find('QRY02_1', key)).toBeUndefined();
  });
});
