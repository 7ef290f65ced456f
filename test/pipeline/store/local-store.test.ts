import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { PageResult } from '../../../pipeline/model/page-result.js';
import { findResult, openResultFolder, storeResult } from '../../../pipeline/store/results.js';

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
const made: PageResult = {
  page: '1',
  key,
  condition: {
    id: 'cgats-tr006',
    title: '',
    dataSet: undefined,
    profileSha256: '',
    inkLimitPercent: 320,
    inkLimitSource: '',
  },
  used: [],
  findings: [],
  measures: undefined,
  outputs: [
    { product: 'proof', role: 'proof', name: 'p.png', bytes: 4, sha256: '', width: 1, height: 1, ppi: 72 },
  ],
};

let job: string;
beforeEach(async () => {
  job = await mkdtemp(join(tmpdir(), 'results-'));
});
afterEach(async () => {
  refusals.length = 0;
  await rm(job, { recursive: true });
});

async function store() {
  const folder = await openResultFolder(job, 'QRY02_1', key);
  await writeFile(join(folder, 'p.png'), 'dots');
  return storeResult(job, 'QRY02_1', folder, made, ['proof']);
}

describe('a finished result gets its name', () => {
  test('although a scanner holds its folder for a moment', async () => {
    refusals.push('EPERM', 'EBUSY');
    const { folder } = await store();
    expect(await readdir(dirname(folder))).toEqual([key]);
    expect(await findResult(job, 'QRY02_1', key)).toMatchObject({ asked: ['proof'] });
    expect(refusals).toEqual([]);
  });

  test('or not, where the disk refuses it for another reason', async () => {
    refusals.push('EIO');
    await expect(store()).rejects.toThrow('EIO');
    expect(await findResult(job, 'QRY02_1', key)).toBeUndefined();
  });
});
