import { execFile } from 'node:child_process';
import { chmod, chown, mkdir, readdir, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { promisify } from 'node:util';
import { afterEach, describe, expect, test } from 'vitest';
import { readLedger } from '../../../watch/daemon/ledger.js';
import {
  isMadeOf,
  looksAgain,
  quick,
  type RunningDaemon,
  sha256Of,
  startDaemon,
  until,
} from '../../helpers/daemon.js';
import { flatPage, openSmallIssue, type SmallIssue, smallJob, tiffOf } from '../../helpers/small-issue.js';

/** Permissions do not bind root, so tests that run as root let the daemon run as a user who owns nothing else. */
const nobody = process.getuid?.() === 0 ? { uid: 65534, gid: 65534 } : {};

/** How far the daemon's checks of its lock are apart. */
const checkMs = 1000;

let issue: SmallIssue;
const daemons: RunningDaemon[] = [];
const closed: string[] = [];
afterEach(async () => {
  for (const daemon of daemons.splice(0)) await daemon.end('SIGKILL');
  for (const path of closed.splice(0)) await chmod(path, 0o755).catch(() => undefined);
  await issue.remove();
});

/** A small issue that belongs to the user whom the daemon runs as. */
async function openIssue(): Promise<(name: string) => string> {
  issue = await openSmallIssue();
  const inside = await readdir(issue.folder);
  for (const path of [issue.folder, ...inside.map((name) => join(issue.folder, name))]) {
    if (nobody.uid !== undefined) await chown(path, nobody.uid, nobody.gid);
  }
  return (name) => join(issue.folder, name);
}

function start(folder: string = issue.folder, user: typeof nobody = nobody): RunningDaemon {
  const daemon = startDaemon(folder, quick, user);
  daemons.push(daemon);
  return daemon;
}

async function close(mode: number, ...paths: string[]): Promise<void> {
  closed.unshift(...paths);
  for (const path of paths) await chmod(path, mode);
}

async function open(...paths: string[]): Promise<void> {
  for (const path of paths) await chmod(path, 0o755);
}

const next = (daemon: RunningDaemon, kind: string, what: string) =>
  daemon.event((event) => event.kind === kind, what);
const madeOf = (page: string, bytes: Uint8Array) =>
  until(() => isMadeOf(issue.folder, page, [bytes]), `page ${page} is made of what was dropped`);
const count = (daemon: RunningDaemon, ...kinds: string[]) =>
  daemon.events.filter(({ kind }) => kinds.includes(kind)).length;

const messages = (daemon: RunningDaemon, wanted: string) =>
  daemon.events.filter(({ kind }) => kind === wanted).map(({ message }) => message);

/** What nobody but its owner may change about a file of incoming/. */
async function stateOf(path: string) {
  const { mtimeMs, ctimeMs, ino, mode } = await stat(path);
  return { mtimeMs, ctimeMs, ino, mode, sha256: await sha256Of(path) };
}

describe('a folder that may not be written when the daemon starts', () => {
  test('is told once and waited for, and the work begins when it may', async () => {
    const at = await openIssue();
    const bytes = await tiffOf(flatPage());
    await issue.drop('p03.tif', bytes);
    const before = await stateOf(at('incoming/p03.tif'));
    await mkdir(at('.platehand'));
    await close(0o555, at('.platehand'), at('press'), at('plates'), at('proofs'), issue.folder);
    const daemon = start();
    const told = await next(daemon, 'trouble', 'the trouble');
    expect(told.message).toMatch(/watch\.lock.*access was denied.*tried again/s);
    expect(told.folder).toBe(issue.folder);
    expect(daemon.events).toHaveLength(1);
    expect(await readdir(at('.platehand'))).toEqual([]);
    await open(issue.folder, at('.platehand'), at('press'), at('plates'), at('proofs'));
    if (nobody.uid !== undefined) await chown(at('.platehand'), nobody.uid, nobody.gid);
    await next(daemon, 'trouble-over', 'the end of it');
    await next(daemon, 'started', 'the start');
    await madeOf('3', bytes);
    expect(count(daemon, 'trouble')).toBe(1);
    expect(await daemon.end()).toBe(0);
    expect(await stateOf(at('incoming/p03.tif'))).toEqual(before);
    const { records } = await readLedger(issue.folder);
    expect(records.map(({ kind }) => kind).slice(0, 2)).toEqual(['trouble-over', 'started']);
  });

  test('holds up neither the end nor another folder', async () => {
    const at = await openIssue();
    await close(0o000, issue.folder);
    const shut = issue;
    const other = await openSmallIssue(smallJob.replaceAll('QRY02', 'QRY03'));
    try {
      if (nobody.uid !== undefined) {
        const inside = await readdir(other.folder);
        for (const name of ['.', ...inside]) await chown(join(other.folder, name), nobody.uid, nobody.gid);
      }
      const daemon = startDaemon(shut.folder, [other.folder, ...quick], nobody);
      daemons.push(daemon);
      const told = await next(daemon, 'trouble', 'the trouble');
      expect(told.message).toMatch(/job\.yaml may not be read by you/);
      await daemon.event(({ kind, issue: code }) => kind === 'started' && code === 'QRY03', 'the other one');
      await other.drop('p03.tif', await tiffOf(flatPage()));
      await daemon.event(({ kind }) => kind === 'page-done', 'a page of the other one');
      expect(await daemon.end()).toBe(0);
      expect(count(daemon, 'trouble')).toBe(1);
      await open(issue.folder);
      expect(await readdir(issue.folder)).not.toContain('.platehand');
      expect(await readdir(at('incoming'))).toEqual([]);
    } finally {
      await other.remove();
    }
  });

  test('on a disk that is read-only for a while', async ({ skip }) => {
    const at = await openIssue();
    const disk = at('disk');
    await mkdir(disk);
    const mount = (...words: string[]) =>
      promisify(execFile)('mount', words).then(
        () => true,
        () => false,
      );
    if (!(await mount('-t', 'tmpfs', '-o', 'size=8m', 'tmpfs', disk))) {
      skip('no file system can be mounted without being root');
    }
    try {
      const job = join(disk, 'job');
      await mkdir(join(job, 'incoming'), { recursive: true });
      await writeFile(join(job, 'job.yaml'), smallJob);
      const bytes = await tiffOf(flatPage());
      await writeFile(join(job, 'incoming', 'p03.tif'), bytes);
      expect(await mount('-o', 'remount,ro', disk)).toBe(true);
      const daemon = start(job, {});
      expect((await next(daemon, 'trouble', 'the trouble')).message).toMatch(/the disk is read-only/);
      expect(daemon.events).toHaveLength(1);
      expect(await mount('-o', 'remount,rw', disk)).toBe(true);
      await next(daemon, 'trouble-over', 'the end of it');
      await until(() => isMadeOf(job, '3', [bytes]), 'page 3');
      expect(count(daemon, 'trouble')).toBe(1);
      // It can also be ended while the disk does not let go of the lock.
      await mount('-o', 'remount,ro', disk);
      expect(await daemon.end()).toBe(0);
    } finally {
      await Promise.all(daemons.splice(0).map((daemon) => daemon.end('SIGKILL')));
      await promisify(execFile)('umount', [disk]);
    }
  });

  test('a job.yaml that is not there, or cannot be followed, is wrong use and not waited for', async () => {
    const at = await openIssue();
    await writeFile(at('job.yaml'), 'issue: [');
    const invalid = start();
    const missing = start(at('press'));
    const ends = daemons.splice(0).map(({ child }) => new Promise((done) => child.once('exit', done)));
    expect(await Promise.all(ends)).toEqual([2, 2]);
    expect(invalid.complaints()).toMatch(/job\.yaml:1/);
    expect(missing.complaints()).toMatch(/There is no job\.yaml/);
  });
});

describe('a folder that is closed while the daemon runs', () => {
  test('incoming/ may not be read for a while: nothing is taken away, and what comes then is taken up', async () => {
    const at = await openIssue();
    const bytes = await tiffOf(flatPage());
    await issue.drop('p03.tif', bytes);
    const daemon = start();
    await daemon.event(({ kind, page }) => kind === 'page-done' && page === '3', 'page 3');
    const before = await stateOf(at('incoming/p03.tif'));
    await close(0o000, at('incoming'));
    const told = await next(daemon, 'trouble', 'the trouble');
    expect(told.message).toMatch(/folder of finished pages cannot be opened/);
    await looksAgain(daemon, issue.folder);
    expect(messages(daemon, 'trouble')).toHaveLength(1);
    expect(await isInPress('QRY02_3.tif')).toBe(true);
    await open(at('incoming'));
    await issue.drop('p02.tif', bytes);
    await next(daemon, 'trouble-over', 'the end of it');
    await madeOf('2', bytes);
    await madeOf('3', bytes);
    expect(count(daemon, 'gone', 'page-stopped', 'job-broken')).toBe(0);
    expect(await stateOf(at('incoming/p03.tif'))).toEqual(before);
    expect(await daemon.end()).toBe(0);
  });

  test('a folder of incoming/ may not be opened for a while: told once, and its pages stay', async () => {
    const at = await openIssue();
    const bytes = await tiffOf(flatPage());
    await mkdir(at('incoming/scene2'));
    if (nobody.uid !== undefined) await chown(at('incoming/scene2'), nobody.uid, nobody.gid);
    await issue.drop('scene2/p03.tif', bytes);
    const isDone = ({ kind, page }: { kind: string; page?: string }) => kind === 'page-done' && page === '3';
    const daemon = start();
    await daemon.event(isDone, 'page 3');
    await close(0o000, at('incoming/scene2'));
    // Its own rights are no change of the folder above: something else calls for a look.
    await issue.drop('p01.tif', bytes);
    const told = await next(daemon, 'trouble', 'the trouble');
    expect(told.message).toMatch(/incoming\/scene2\/ could not be opened \(EACCES\).*Check who may read/);
    await madeOf('1', bytes);
    await looksAgain(daemon, issue.folder);
    expect(await isInPress('QRY02_3.tif')).toBe(true);
    expect(await daemon.end()).toBe(0);
    // A daemon that starts while it is closed has never seen what is in it.
    const second = start();
    await next(second, 'trouble', 'the trouble, told by the second');
    await issue.drop('p02.tif', bytes);
    await madeOf('2', bytes);
    await looksAgain(second, issue.folder);
    expect(await isInPress('QRY02_3.tif')).toBe(true);
    await open(at('incoming/scene2'));
    await issue.drop('p02.txt', bytes);
    await next(second, 'trouble-over', 'the end of it');
    await madeOf('3', bytes);
    for (const each of [daemon, second]) {
      expect(count(each, 'trouble')).toBe(1);
      expect(count(each, 'gone', 'page-stopped')).toBe(0);
    }
    expect(await second.end()).toBe(0);
    const { records } = await readLedger(issue.folder);
    expect(records.filter(({ kind, page }) => kind === 'result' && page === '3')).toHaveLength(2);
  });

  test.each([
    ['press', 1],
    // The ledger cannot be written either, and that is told too.
    ['.platehand', 2],
  ])('%s may not be written for a while: told, waited out, and nothing is half there', async (name, most) => {
    const at = await openIssue();
    const bytes = await tiffOf(flatPage());
    const daemon = start();
    await next(daemon, 'started', 'the start');
    await until(async () => (await readdir(issue.folder)).includes('.platehand'), 'its own folder');
    await close(0o555, at(name));
    await issue.drop('p02.tif', bytes);
    await next(daemon, 'trouble', 'the trouble');
    await looksAgain(daemon, issue.folder);
    expect(messages(daemon, 'trouble').slice(most)).toEqual([]);
    expect(count(daemon, 'trouble-over', 'page-stopped')).toBe(0);
    expect(await readdir(at('press'))).toEqual([]);
    await open(at(name));
    await next(daemon, 'trouble-over', 'the end of it');
    await madeOf('2', bytes);
    await until(() => count(daemon, 'trouble') === count(daemon, 'trouble-over'), 'that all of it is over');
    expect(await daemon.end()).toBe(0);
    const { records, damage } = await readLedger(issue.folder);
    expect(damage).toEqual([]);
    expect(records.some(({ kind, page }) => kind === 'result' && page === '2')).toBe(true);
  });

  test('.platehand may not even be looked into: the lock is missed once, not at every look', async () => {
    const at = await openIssue();
    const bytes = await tiffOf(flatPage());
    await issue.drop('p03.tif', bytes);
    const daemon = start();
    await daemon.event(({ kind, page }) => kind === 'page-done' && page === '3', 'page 3');
    await close(0o000, at('.platehand'));
    await next(daemon, 'trouble', 'the trouble');
    // Three checks of the lock, which say nothing that could be waited for, and without it nobody looks.
    await pause(3 * checkMs);
    const told = messages(daemon, 'trouble');
    // Each is told once: the lock, the ledger, what the contact sheet shows, and on a slow machine a look and a page that had begun.
    expect(told.filter((message) => message.includes('watch.lock')).length).toBeLessThanOrEqual(1);
    expect(told.length).toBeLessThanOrEqual(5);
    expect(new Set(told).size).toBe(told.length);
    expect(count(daemon, 'trouble-over', 'gone', 'page-stopped')).toBe(0);
    await open(at('.platehand'));
    await next(daemon, 'trouble-over', 'the end of it');
    await issue.drop('p02.tif', bytes);
    await madeOf('2', bytes);
    await madeOf('3', bytes);
    expect(await daemon.end()).toBe(0);
  });
});

async function isInPress(name: string): Promise<boolean> {
  return (await readdir(join(issue.folder, 'press'))).includes(name);
}
