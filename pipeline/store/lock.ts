import { readFileSync } from 'node:fs';
import { link, open, rename, rm, stat, utimes } from 'node:fs/promises';
import { hostname, uptime } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { exitCode, PlatehandError } from '../../config/errors.js';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder } from '../files/atomic.js';
import { isDiskTrouble, writeFailed } from '../files/disk-trouble.js';
import { ownerTag } from '../files/owner.js';

/** Who holds a lock, as its file says. */
export interface LockHolder {
  readonly pid: number;
  readonly host: string;
  /** What it is doing, in words: `platehand watch`. */
  readonly task: string;
  /** ISO time at which it took the lock. */
  readonly since: string;
  /** When the process was started, in the kernel's own count: tells it from another that got its number later. */
  readonly started: string | undefined;
}

export interface Lock {
  release(): Promise<void>;
}

/** A holder shows that it lives by touching its lock this often. */
const touchMs = 5_000;

/** A lock whose holder nobody can ask and that was not touched for this long is nobody's: twelve touches missed. */
const abandonedMs = 60_000;

/** Some disks keep the times of files to two seconds only. */
const coarseTimeMs = 2_000;

/** A lock without a readable holder is one that a crash left between making and filling it, once it is this old. */
const unfilledMs = 5_000;

/** How often a waiting process looks again. */
const lookMs = 50;

/**
 * Takes a lock: a file that only one process at a time can make. A lock whose holder is gone (a crash, a power cut) is
 * taken over. Waits up to `waitMs` for a living holder.
 * @throws PlatehandError `lock-held`, which names the holder
 */
export async function takeLock(path: string, task: string, waitMs: number): Promise<Lock> {
  await makeFolder(dirname(path));
  const giveUpAt = Date.now() + waitMs;
  for (;;) {
    if (await tryTake(path, task)) return held(path);
    const holder = await readHolder(path);
    if (await isGone(path, holder)) {
      await clearAway(path, holder);
      continue;
    }
    if (Date.now() >= giveUpAt) throw lockHeld(path, holder);
    await pause(lookMs);
  }
}

/** Runs something while holding a lock. */
export async function withLock<T>(
  path: string,
  task: string,
  waitMs: number,
  run: () => Promise<T>,
): Promise<T> {
  const lock = await takeLock(path, task, waitMs);
  try {
    return await run();
  } finally {
    await lock.release();
  }
}

/** Who holds the lock; undefined when nobody does, or when the file is just being written. */
export async function readHolder(path: string): Promise<LockHolder | undefined> {
  try {
    return JSON.parse((await readRegular(path)).toString('utf8')) as LockHolder;
  } catch {
    return undefined;
  }
}

/** The holder of a lock if its process lives; undefined when the lock is free to be taken. */
export async function livingHolder(path: string): Promise<LockHolder | undefined> {
  const holder = await readHolder(path);
  return holder === undefined || (await isGone(path, holder)) ? undefined : holder;
}

/**
 * Makes the lock's file. It is filled under another name first and then linked, so that a crash leaves no empty lock,
 * which would belong to nobody and stand for ever.
 */
async function tryTake(path: string, task: string): Promise<boolean> {
  const own: LockHolder = {
    pid: process.pid,
    host: hostname(),
    task,
    since: new Date().toISOString(),
    started: startOf(process.pid),
  };
  const filled = join(dirname(path), `.${basename(path)}.${ownerTag}.${++lockCount}.part`);
  try {
    await fill(filled, own);
    await link(filled, path).catch((thrown: NodeJS.ErrnoException) => {
      if (thrown.code === 'EEXIST') throw thrown;
      // A file system without hard links.
      return fill(path, own);
    });
    return true;
  } catch (thrown) {
    if ((thrown as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw isDiskTrouble(thrown) ? writeFailed(path, thrown) : thrown;
  } finally {
    await rm(filled, { force: true }).catch(() => undefined);
  }
}

/** Tells the names of locks apart that one process takes at the same time. */
let lockCount = 0;

async function fill(path: string, holder: LockHolder): Promise<void> {
  const file = await open(path, 'wx');
  try {
    await file.writeFile(`${JSON.stringify(holder)}\n`);
  } finally {
    await file.close();
  }
}

function held(path: string): Lock {
  const touch = () => {
    const now = new Date();
    utimes(path, now, now).catch(() => undefined);
  };
  const timer = setInterval(touch, touchMs);
  timer.unref();
  return {
    async release() {
      clearInterval(timer);
      const holder = await readHolder(path);
      if (holder?.pid === process.pid && holder.host === hostname()) await rm(path, { force: true });
    },
  };
}

/**
 * Whether the holder's process has ended. On another machine, and where nobody can tell a process from a later one of its
 * number, only the silence of its lock can tell.
 */
async function isGone(path: string, holder: LockHolder | undefined): Promise<boolean> {
  if (holder === undefined) return wasTouched(path, (at) => Date.now() - at > unfilledMs);
  if (holder.host !== hostname()) return wasTouched(path, isLongAgo);
  try {
    process.kill(holder.pid, 0);
  } catch (thrown) {
    // Otherwise (EPERM) a process of that number lives and belongs to somebody else.
    if ((thrown as NodeJS.ErrnoException).code === 'ESRCH') return true;
  }
  const started = startOf(holder.pid);
  if (holder.started !== undefined && started !== undefined) return holder.started !== started;
  const machineStart = Date.now() - uptime() * 1000;
  return wasTouched(path, (at) => isLongAgo(at) || at + coarseTimeMs < machineStart);
}

const isLongAgo = (touchedMs: number) => Date.now() - touchedMs > abandonedMs;

/** Whether the lock is there and was touched at such a time, in milliseconds. */
async function wasTouched(path: string, isSuch: (touchedMs: number) => boolean): Promise<boolean> {
  const facts = await stat(path).catch(() => undefined);
  return facts !== undefined && isSuch(facts.mtimeMs);
}

/** Field 22 of /proc/<pid>/stat (proc(5)): start of the process in clock ticks. undefined where there is no /proc. */
function startOf(pid: number): string | undefined {
  try {
    const text = readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The second field, the program's name, may hold spaces and brackets: count from its end.
    return text.slice(text.lastIndexOf(')') + 2).split(' ')[19];
  } catch {
    return undefined;
  }
}

/** Moves a dead holder's lock aside first, so that of two processes that find it only one removes it. */
async function clearAway(path: string, holder: LockHolder | undefined): Promise<void> {
  const aside = `${path}.${holder?.pid ?? 0}.${process.pid}.gone`;
  try {
    await rename(path, aside);
  } catch {
    return;
  }
  const moved = await readHolder(aside);
  if (moved !== undefined && (moved.pid !== holder?.pid || moved.since !== holder.since)) {
    // Between looking and moving a living process had taken it.
    await putBack(path, aside, moved);
  }
  await rm(aside, { force: true });
}

/**
 * Gives a lock back to its holder, unless somebody took it in the moment that it was away: what stands there is never
 * overwritten, because whoever took it counts on it.
 */
async function putBack(path: string, aside: string, holder: LockHolder): Promise<void> {
  const isTaken = (thrown: unknown) => (thrown as NodeJS.ErrnoException).code === 'EEXIST';
  try {
    await link(aside, path);
  } catch (thrown) {
    if (isTaken(thrown)) return;
    // A file system without hard links.
    await fill(path, holder).catch((refused: unknown) => {
      if (!isTaken(refused)) throw refused;
    });
  }
}

function lockHeld(path: string, holder: LockHolder | undefined): PlatehandError {
  const who =
    holder === undefined
      ? 'another process'
      : `${holder.task} (process ${holder.pid} on ${holder.host}, since ${holder.since})`;
  return new PlatehandError(
    'lock-held',
    `The job folder is in use by ${who}`,
    'Wait for it or end it, then try again.',
    { place: { file: path }, exitCode: exitCode.wrongUse },
  );
}
