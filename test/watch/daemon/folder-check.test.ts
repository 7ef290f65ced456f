import { rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { FolderCheck, type FolderListener } from '../../../watch/daemon/folder-check.js';
import { FolderLock, pauseByHand, resumeByHand, watchLockPath } from '../../../watch/daemon/folder-marks.js';
import { JobFile } from '../../../watch/daemon/job-file.js';
import { until } from '../../helpers/daemon.js';
import { openSmallIssue, type SmallIssue, smallJob } from '../../helpers/small-issue.js';

let issue: SmallIssue;
let lock: FolderLock;
let check: FolderCheck;
const told: string[] = [];

/** Writes down what it hears, in the order in which it hears it. */
const listener: FolderListener = {
  hinted: () => told.push('hinted'),
  noEvents: (why) => told.push(`no events: ${why}`),
  pauseChanged: (isPaused) => told.push(isPaused ? 'paused' : 'resumed'),
  jobTouched: () => told.push('job touched'),
  lockHeld: () => told.push('lock held'),
  lockFailed: (thrown) => told.push(`lock failed: ${thrown}`),
};

beforeEach(async () => {
  told.length = 0;
  issue = await openSmallIssue();
  lock = await FolderLock.take(issue.folder);
  const jobFile = await JobFile.open(issue.folder, 100);
  check = new FolderCheck({ folder: issue.folder, jobFile, lock }, false, listener);
});
afterEach(async () => {
  await check.close();
  await lock.release();
  await issue.remove();
});

const hears = (what: string) => until(() => told.some((one) => one.startsWith(what)), what);

/** What is said from now on, once something has been said. */
async function next(what: string): Promise<readonly string[]> {
  told.length = 0;
  await hears(what);
  return [...told];
}

test('tells a pause by hand and its end, once each', async () => {
  check.start();
  await hears('lock held');
  expect([told, check.isPaused]).toEqual([['lock held'], false]);
  await pauseByHand(issue.folder);
  await hears('paused');
  expect(check.isPaused).toBe(true);
  expect(await next('lock held')).not.toContain('paused');
  await resumeByHand(issue.folder);
  await hears('resumed');
  expect(check.isPaused).toBe(false);
});

test('tells that job.yaml was touched, and asks for the lock only where there is one', async () => {
  check.start();
  await writeFile(join(issue.folder, 'job.yaml'), smallJob.replace('Bells', 'Bell'));
  await hears('job touched');
  await rm(join(issue.folder, 'job.yaml'));
  expect(await next('job touched')).toBeDefined();
  expect(await next('job touched')).toEqual(['job touched']);
});

test('takes a lock again that is gone, and tells when another has it', async () => {
  await rm(watchLockPath(issue.folder));
  check.start();
  await hears('lock held');
  await rm(watchLockPath(issue.folder));
  // The first process of a system lives as long as it does.
  const other = { pid: 1, host: (await import('node:os')).hostname(), task: 'platehand watch', since: '' };
  await writeFile(watchLockPath(issue.folder), JSON.stringify(other));
  await hears('lock failed');
  expect(told.at(-1)).toMatch(/in use by platehand watch \(process 1 on /);
});
