import { execFile } from 'node:child_process';
import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, describe, expect, test } from 'vitest';
import { ownerTag } from '../../../pipeline/files/owner.js';
import { followJob } from '../../../watch/daemon/last-job.js';
import { readLedger } from '../../../watch/daemon/ledger.js';
import {
  isMadeOf,
  looksAgain,
  pageIn,
  quick,
  type RunningDaemon,
  sideBySide,
  startDaemon,
  until,
} from '../../helpers/daemon.js';
import {
  colourPage,
  dropAll,
  flatPage,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';

let issue: SmallIssue;
const daemons: RunningDaemon[] = [];
afterEach(async () => {
  for (const daemon of daemons.splice(0)) await daemon.end('SIGKILL');
  await issue.remove();
});

async function start(options: readonly string[] = quick): Promise<RunningDaemon> {
  const daemon = startDaemon(issue.folder, options);
  daemons.push(daemon);
  await daemon.event(({ kind }) => kind === 'started', 'the start');
  return daemon;
}

const isComplete = ({ kind }: { kind: string }) => kind === 'issue-complete';
const incoming = (name: string) => join(issue.folder, 'incoming', name);
const jobPath = () => join(issue.folder, 'job.yaml');

/** Names that only unfinished work has. */
async function unfinished(): Promise<string[]> {
  const names = await readdir(issue.folder, { recursive: true });
  return names.filter((name) => name.endsWith('.part'));
}

describe('several folders', () => {
  test('are watched by one daemon, also by looking only, as on a share that sends no events', async () => {
    issue = await openSmallIssue(smallJob.replace('pages: 1-3', 'page: 1'));
    const other = await openSmallIssue(
      smallJob.replace('pages: 1-3', 'page: 1').replaceAll('QRY02', 'QRY03'),
    );
    try {
      const daemon = await start([other.folder, issue.folder, '--poll', '0.2', ...quick]);
      const bytes = await tiffOf(flatPage());
      for (const { drop } of [issue, other]) {
        await drop('cover.tif', bytes);
        await drop('p01.tif', bytes);
      }
      for (const code of ['QRY02', 'QRY03']) {
        await daemon.event((event) => isComplete(event) && event.issue === code, `issue ${code}`);
      }
      // The folder that was named twice is watched once.
      expect(daemon.events.filter(({ kind }) => kind === 'started')).toHaveLength(2);
      expect(await daemon.end()).toBe(0);
    } finally {
      await other.remove();
    }
  });
});

describe('job.yaml is followed while it is edited', () => {
  test('a broken edit is told once and leaves the last good one in force; a good one does only what it changes', async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    const daemon = await start();
    await daemon.event(isComplete, 'the whole issue');
    await writeFile(jobPath(), smallJob.replace('title: The Quarry Bells', 'title: [The Quarry'));
    const broken = await daemon.event(({ kind }) => kind === 'job-broken', 'the broken edit');
    expect(broken.message).toMatch(/the last good one still holds.*job\.yaml:\d+/s);
    const followed = await followJob(issue.folder);
    expect([followed.broken?.code, followed.job.title]).toEqual(['job-invalid', 'The Quarry Bells']);
    // It still works by the last good one.
    const bytes = await tiffOf(colourPage(60));
    await writeFile(incoming('QRY02_p01_colour_v3.tif'), bytes);
    await daemon.event(({ kind, page }) => kind === 'page-done' && page === '1', 'page 1 anew');
    const before = daemon.events.length;
    await writeFile(
      jobPath(),
      smallJob.replace('    scene: quarry', '    scene: quarry\n    print: { inkLimit: 260 }'),
    );
    await daemon.event(({ kind }) => kind === 'job-changed', 'the good edit');
    await until(
      () => daemon.events.slice(before).filter(({ kind }) => kind === 'page-done').length === 3,
      'the three pages of the scene',
    );
    const isAgain = (event: { kind: string; message: string }) =>
      isComplete(event) && /complete again/.test(event.message);
    await until(() => daemon.events.slice(before).some(isAgain), 'the issue, complete again');
    // Replacing pages of a complete issue is no end of its being complete.
    expect(daemon.events.filter(({ kind }) => kind === 'issue-open')).toEqual([]);
    const redone = daemon.events.slice(before).filter(({ kind }) => kind === 'page-done');
    expect(redone.map(({ page }) => page).sort()).toEqual(['1', '2', '3']);
    expect((await pageIn(issue.folder, '1')).condition?.inkLimitPercent).toBe(260);
    expect(daemon.events.filter(({ kind }) => kind === 'job-broken')).toHaveLength(1);
  });
});

describe('what is killed', () => {
  test('after kill -9 the next start goes on where it was, and clears away what was left', async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    const daemon = await start(sideBySide);
    await daemon.event(({ kind }) => kind === 'page-proofed', 'a first proof');
    expect(await daemon.end('SIGKILL')).toBe('SIGKILL');
    const owner = `${ownerTag.split('-')[0]}-${daemon.child.pid}`;
    const torn = join(issue.folder, '.platehand', 'ledger.jsonl');
    await writeFile(torn, `${await readFile(torn, 'utf8')}{"seq":99,"at":"2026-11-2`);
    await writeFile(join(issue.folder, 'press', `.QRY02_1.tif.${owner}.0123456789ab.part`), 'half');
    const next = await start();
    await next.event(({ kind }) => kind === 'ledger-repaired', 'the repair');
    await next.event(isComplete, 'the whole issue');
    expect(await next.end()).toBe(0);
    expect(await unfinished()).toEqual([]);
    const { damage, records } = await readLedger(issue.folder);
    expect(damage).toEqual([]);
    expect(records.filter(({ kind }) => kind === 'repaired')).toHaveLength(1);
    const aside = (await readdir(join(issue.folder, '.platehand'))).filter((name) =>
      name.startsWith('ledger.torn-'),
    );
    expect(aside).toHaveLength(1);
  });

  test('a page process that is killed costs one more try, and no page', async () => {
    issue = await openSmallIssue();
    const daemon = await start(sideBySide);
    await dropAll(issue);
    await daemon.event(({ kind }) => kind === 'page-proofed', 'a first proof');
    const children = (await promisify(execFile)('pgrep', ['-P', String(daemon.child.pid)])).stdout
      .trim()
      .split('\n');
    // The process that drew the contact sheet may have ended by itself meanwhile.
    await promisify(execFile)('kill', ['-9', ...children]).catch(() => undefined);
    await daemon.event(isComplete, 'the whole issue');
    expect(daemon.events.filter(({ kind }) => kind === 'page-stopped')).toEqual([]);
  });
});

describe('trouble is told once and waited out', () => {
  test('incoming/ goes away and comes back: nothing that was made is taken away', async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    const daemon = await start();
    await daemon.event(isComplete, 'the whole issue');
    const press = (await readdir(join(issue.folder, 'press'))).sort();
    await rename(join(issue.folder, 'incoming'), join(issue.folder, 'unplugged'));
    await daemon.event(({ kind }) => kind === 'trouble', 'the trouble');
    await looksAgain(daemon, issue.folder);
    expect(daemon.events.filter(({ kind }) => kind === 'trouble')).toHaveLength(1);
    expect((await readdir(join(issue.folder, 'press'))).sort()).toEqual(press);
    await rename(join(issue.folder, 'unplugged'), join(issue.folder, 'incoming'));
    await daemon.event(({ kind }) => kind === 'trouble-over', 'the end of it');
    expect(daemon.events.filter(({ kind }) => kind === 'gone')).toEqual([]);
  });

  test('incoming/ is deleted and made anew: events are taken from the new one', async () => {
    issue = await openSmallIssue();
    const daemon = await start(['--settle', '0.15', '--rescan', '600']);
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('cover.tif'), bytes);
    await daemon.event(({ kind }) => kind === 'arrived', 'a file of the old folder');
    await rm(join(issue.folder, 'incoming'), { recursive: true });
    await mkdir(join(issue.folder, 'incoming'));
    await daemon.event(({ kind }) => kind === 'gone', 'that it is gone');
    // One may be found by the last look for the old folder, one by the first for the new: the third is an event.
    for (const wanted of ['1', '2', '3']) {
      await writeFile(incoming(`p0${wanted}.tif`), bytes);
      await daemon.event(({ kind, page }) => kind === 'page-done' && page === wanted, `page ${wanted}`);
      expect(await isMadeOf(issue.folder, wanted, [bytes])).toBe(true);
    }
  });

  test('a full disk: no half-written file, one report, and the work goes on once there is room', async ({
    skip,
  }) => {
    issue = await openSmallIssue();
    const disk = join(issue.folder, 'small-disk');
    await mkdir(disk);
    const mounted = await promisify(execFile)('mount', [
      '-t',
      'tmpfs',
      '-o',
      'size=1000k',
      'tmpfs',
      disk,
    ]).then(
      () => true,
      () => false,
    );
    if (!mounted) skip('no small file system can be mounted without being root');
    try {
      const job = join(disk, 'job');
      await mkdir(join(job, 'incoming'), { recursive: true });
      await writeFile(join(job, 'job.yaml'), smallJob);
      const filler = join(disk, 'filler');
      await writeFile(filler, Buffer.alloc(800_000));
      await writeFile(join(job, 'incoming', 'p03.tif'), await tiffOf(flatPage()));
      const daemon = startDaemon(job, quick);
      daemons.push(daemon);
      const told = await daemon.event(({ kind }) => kind === 'trouble', 'the full disk');
      expect(told.message).toMatch(/disk is full/);
      await looksAgain(daemon, job);
      const made = await readdir(join(job, 'press')).catch(() => []);
      expect(made.filter((name) => !name.startsWith('.'))).toEqual([]);
      await rm(filler);
      await daemon.event(({ kind, page }) => kind === 'page-done' && page === '3', 'page 3');
      await daemon.event(({ kind }) => kind === 'trouble-over', 'the end of it');
      expect(daemon.events.filter(({ kind }) => kind === 'trouble').length).toBeLessThanOrEqual(2);
      expect(await daemon.end()).toBe(0);
    } finally {
      await Promise.all(daemons.splice(0).map((daemon) => daemon.end('SIGKILL')));
      await promisify(execFile)('umount', [disk]);
    }
  });
});
