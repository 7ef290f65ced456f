import { spawnSync } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { livingHolder, takeLock } from '../../../pipeline/store/lock.js';

/** What this machine cannot be brought to do for a test: to have no /proc, to have started just now, to be that quick. */
const machine = vi.hoisted(() => ({
  hasProc: true,
  uptime: undefined as number | undefined,
  hasLinks: true,
  beforeAside: [] as string[],
  afterAside: [] as string[],
}));
vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  const readFileSync = ((path: string, options: 'utf8') => {
    if (!machine.hasProc && path.startsWith('/proc/')) throw new Error('no /proc here');
    return fs.readFileSync(path, options);
  }) as typeof fs.readFileSync;
  return { ...fs, readFileSync };
});
vi.mock('node:os', async (original) => {
  const os = await original<typeof import('node:os')>();
  return { ...os, uptime: () => machine.uptime ?? os.uptime() };
});
vi.mock('node:fs/promises', async (original) => {
  const fs = await original<typeof import('node:fs/promises')>();
  const rename: typeof fs.rename = async (from, to) => {
    for (const text of machine.beforeAside.splice(0)) await fs.writeFile(from, text);
    await fs.rename(from, to);
    for (const text of machine.afterAside.splice(0)) await fs.writeFile(from, text);
  };
  const link: typeof fs.link = async (from, to) => {
    if (!machine.hasLinks) throw Object.assign(new Error('no links here'), { code: 'ENOTSUP' });
    await fs.link(from, to);
  };
  return { ...fs, rename, link };
});

let folder: string;
let path: string;
beforeEach(async () => {
  Object.assign(machine, { hasProc: true, uptime: undefined, hasLinks: true });
  folder = await mkdtemp(join(tmpdir(), 'lock-races-'));
  path = join(folder, 'watch.lock');
});
afterEach(() => rm(folder, { recursive: true }));

const since = '2026-11-20T12:00:00.000Z';
const textOf = (holder: object) =>
  `${JSON.stringify({ host: hostname(), task: 'watching', since, ...holder })}\n`;
async function leave(holder: object, touchedSecondsAgo: number): Promise<void> {
  await writeFile(path, textOf(holder));
  const at = new Date(Date.now() - touchedSecondsAgo * 1000);
  await utimes(path, at, at);
}
const isTaken = () =>
  takeLock(path, 'next', 0).then(
    () => true,
    () => false,
  );

describe('where the start of a process cannot be told', () => {
  beforeEach(() => {
    machine.hasProc = false;
  });

  test('a lock stands while its holder touches it', async () => {
    await leave({ pid: process.ppid }, 55);
    expect(await isTaken()).toBe(false);
    expect(await livingHolder(path)).toMatchObject({ pid: process.ppid });
  });

  test('a lock is taken over once it was left untouched: another process may have its number', async () => {
    await leave({ pid: process.ppid }, 61);
    expect(await livingHolder(path)).toBeUndefined();
    expect(await isTaken()).toBe(true);
  });

  test('a lock is taken over at once when the machine was started since it was touched', async () => {
    machine.uptime = 20;
    await leave({ pid: process.ppid }, 15);
    expect(await isTaken()).toBe(false);
    await leave({ pid: process.ppid }, 30);
    expect(await isTaken()).toBe(true);
  });

  test('a lock that states a start is treated alike', async () => {
    await leave({ pid: process.ppid, started: '4711' }, 55);
    expect(await isTaken()).toBe(false);
    await leave({ pid: process.ppid, started: '4711' }, 61);
    expect(await isTaken()).toBe(true);
  });
});

test('where it can be told, a living holder may be silent for as long as it likes', async () => {
  const lock = await takeLock(path, 'sleeping', 0);
  const before = new Date(Date.now() - 3_600_000);
  await utimes(path, before, before);
  expect(await isTaken()).toBe(false);
  await lock.release();
});

describe('a lock that a living process took while its dead holder was cleared away', () => {
  const ended = () => ({ pid: spawnSync(process.execPath, ['-e', '']).pid });
  const living = textOf({ pid: process.ppid, task: 'living', started: undefined });
  const third = textOf({ pid: process.ppid, task: 'third' });

  beforeEach(async () => {
    machine.hasProc = false;
    await leave(ended(), 1);
    machine.beforeAside.push(living);
  });

  test.each([true, false])('is given back (hard links: %s)', async (hasLinks) => {
    machine.hasLinks = hasLinks;
    await expect(takeLock(path, 'next', 0)).rejects.toThrow(/in use by living/);
    expect(await readFile(path, 'utf8')).toBe(living);
    expect(await readdir(folder)).toEqual(['watch.lock']);
  });

  test.each([true, false])('is not put over that of a third process (hard links: %s)', async (hasLinks) => {
    machine.hasLinks = hasLinks;
    machine.afterAside.push(third);
    await expect(takeLock(path, 'next', 0)).rejects.toThrow(/in use by third/);
    expect(await readFile(path, 'utf8')).toBe(third);
    expect(await readdir(folder)).toEqual(['watch.lock']);
  });
});
