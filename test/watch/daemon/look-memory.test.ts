import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Job } from '../../../config/job.js';
import type { PageRun } from '../../../pipeline/issue/page-run.js';
import { FolderListing, SettledPlans } from '../../../watch/daemon/look-memory.js';

const job = {} as Job;
const page = (more: Partial<PageRun>) => ({ page: { id: '1' }, ...more }) as PageRun;
const made = page({ stored: {} as PageRun['stored'] });

describe('a page that has nothing to do', () => {
  test('is not planned again as long as it would be planned from the same', () => {
    const plans = new SettledPlans();
    plans.begin(job, true);
    plans.noted(made, 'version 1');
    plans.begin(job, false);
    expect([plans.stands(made, 'version 1'), plans.stands(made, 'version 2')]).toEqual([true, false]);
  });

  test('is planned again at a full look, and with another job.yaml', () => {
    const plans = new SettledPlans();
    plans.noted(made, 'version 1');
    plans.begin(job, true);
    expect(plans.stands(made, 'version 1')).toBe(false);
    plans.noted(made, 'version 1');
    plans.begin({} as Job, false);
    expect(plans.stands(made, 'version 1')).toBe(false);
  });

  test('is one that is made: what waits for work or has failed is planned at every look', () => {
    const plans = new SettledPlans();
    plans.begin(job, true);
    for (const run of [
      page({}),
      page({ ...made, request: {} as PageRun['request'] }),
      page({ ...made, failure: {} as PageRun['failure'] }),
    ]) {
      plans.noted(run, 'version 1');
      expect(plans.stands(run, 'version 1')).toBe(false);
    }
  });
});

describe('the listing of a watched folder', () => {
  let folder = '';
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platehand-listing-'));
    for (const name of ['p1.tif', 'p2.tif', 'p3.tif']) await writeFile(join(folder, name), 'a');
  });
  afterEach(() => rm(folder, { recursive: true, force: true }));
  const bytes = async (listed: ReturnType<FolderListing['list']>) =>
    (await listed).files.map((file) => file.bytes);

  test('looks at what was told of and what is on its way; at everything where nobody knows', async () => {
    const listing = new FolderListing();
    await listing.list(folder, [], new Set());
    for (const name of ['p1.tif', 'p2.tif', 'p3.tif']) await writeFile(join(folder, name), 'changed');
    expect(await bytes(listing.list(folder, ['p2.tif'], new Set(['p1.tif'])))).toEqual([7, 7, 1]);
    expect(await bytes(listing.list(folder, [], undefined))).toEqual([7, 7, 7]);
  });

  test('finds a file that it is told of for the first time', async () => {
    const listing = new FolderListing();
    await listing.list(folder, [], undefined);
    await writeFile(join(folder, 'p4.tif'), 'new');
    expect(await bytes(listing.list(folder, [], new Set(['p4.tif'])))).toEqual([1, 1, 1, 3]);
  });
});
