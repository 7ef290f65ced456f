import { spawnSync } from 'node:child_process';
import { mkdir, mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { livingHolder, takeLock, withLock } from '../../../pipeline/store/lock.js';

let folder: string;
let path: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lock-'));
  path = join(folder, 'inner', 'watch.lock');
  await mkdir(join(folder, 'inner'));
});
afterEach(() => rm(folder, { recursive: true }));

/** The number of a process that has ended. */
const endedPid = () => spawnSync(process.execPath, ['-e', '']).pid;
const leave = (holder: object) => writeFile(path, `${JSON.stringify(holder)}\n`);
const since = '2026-11-20T12:00:00.000Z';

describe('a lock', () => {
  test('is refused while its holder lives, and the refusal names the holder', async () => {
    const lock = await takeLock(path, 'platehand watch', 0);
    await expect(takeLock(path, 'other', 0)).rejects.toThrow(
      new RegExp(`in use by platehand watch \\(process ${process.pid} on ${hostname()}, since `),
    );
    expect(await livingHolder(path)).toMatchObject({ pid: process.pid });
    await lock.release();
    expect(await livingHolder(path)).toBeUndefined();
    expect(await readdir(join(folder, 'inner'))).toEqual([]);
  });

  test('is taken over from a process that has ended', async () => {
    await leave({ pid: endedPid(), host: hostname(), task: 'platehand watch', since });
    expect(await livingHolder(path)).toBeUndefined();
    await (await takeLock(path, 'next', 0)).release();
  });

  test('is taken over when another process got the number of its holder', async () => {
    await leave({ pid: process.pid, host: hostname(), task: 'platehand watch', since, started: 'long ago' });
    await (await takeLock(path, 'next', 0)).release();
  });

  test('that a crash left empty is taken over once it is certain that nobody fills it', async () => {
    await writeFile(path, '');
    await expect(takeLock(path, 'next', 0)).rejects.toThrow(/in use by another process/);
    const before = new Date(Date.now() - 6_000);
    await utimes(path, before, before);
    await (await takeLock(path, 'next', 0)).release();
  });

  test('of another machine stands as long as it is touched', async () => {
    await leave({ pid: 1, host: 'elsewhere', task: 'platehand watch', since });
    await expect(takeLock(path, 'next', 0)).rejects.toThrow(/on elsewhere/);
    const before = new Date(Date.now() - 61_000);
    await utimes(path, before, before);
    await (await takeLock(path, 'next', 0)).release();
  });

  test('lets one in at a time, and loses nobody who waits', async () => {
    let inside = 0;
    let most = 0;
    const visits = Array.from({ length: 10 }, () =>
      withLock(path, 'visiting', 10_000, async () => {
        most = Math.max(most, ++inside);
        expect(JSON.parse(await readFile(path, 'utf8')).task).toBe('visiting');
        inside--;
      }),
    );
    await Promise.all(visits);
    expect(most).toBe(1);
  });
});
