import { mkdir, mkdtemp, readdir, rename, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { makeFolder } from '../../../pipeline/files/atomic.js';
import { localStore } from '../../../pipeline/store/local-store.js';
import { takeLock } from '../../../pipeline/store/lock.js';
import { keepJob } from '../../../watch/daemon/last-job.js';
import { appendToLedger } from '../../../watch/daemon/ledger.js';

let parent: string;
let job: string;
beforeEach(async () => {
  parent = await mkdtemp(join(tmpdir(), 'moved-'));
  job = join(parent, 'tdl03');
  await mkdir(job);
});
afterEach(() => rm(parent, { recursive: true, force: true }));

const record = { at: '2026-11-20T12:00:00.000Z', kind: 'arrived', file: 'p01.tif' } as const;

describe('a job folder that somebody has moved away', () => {
  test('is not made anew in its old place, whatever is to be written there', async () => {
    await makeFolder(join(job, '.platehand', 'results', 'TDL03_001'));
    await rename(job, join(parent, 'archive'));
    const gone = { code: 'write-failed' };
    await expect(appendToLedger(job, [record])).rejects.toMatchObject(gone);
    await expect(takeLock(join(job, '.platehand', 'watch.lock'), 'a test', 0)).rejects.toMatchObject(gone);
    await expect(localStore(job).open('TDL03_001', 'key')).rejects.toMatchObject(gone);
    for (const name of ['press', 'proofs', 'delivery']) {
      await expect(makeFolder(join(job, name))).rejects.toMatchObject(gone);
    }
    await keepJob(job);
    expect(await readdir(parent)).toEqual(['archive']);
  });

  test('has all of its own folders made anew where only those are gone', async () => {
    const folder = await localStore(job).open('TDL03_001', 'key');
    expect(await readdir(folder)).toEqual([]);
    await makeFolder(join(job, 'press'));
    // A second time, and by two at once, is nothing new.
    await Promise.all([makeFolder(folder), makeFolder(folder), makeFolder(join(job, 'press'))]);
    expect((await readdir(job)).sort()).toEqual(['.platehand', 'press']);
  });
});
