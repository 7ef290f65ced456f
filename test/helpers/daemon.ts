import { type ChildProcess, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFile, utimes } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { loadJob } from '../../config/load-job.js';
import { programPath } from '../../config/package-root.js';
import { readStatus } from '../../pipeline/issue/status.js';
import type { WatchEvent } from '../../watch/daemon/watch-event.js';

export const cliPath = programPath('platehand');

/** Waits are for conditions; this is for a machine that is busy with other things, in milliseconds. */
const busyMs = 60_000;

const times = ['--settle', '0.15', '--grace', '2', '--rescan', '5'];

/**
 * Times that make a daemon quick enough for tests, in seconds. One page process: the first page of each takes two seconds of
 * processor time, the next ones a fifth of that.
 */
export const quick = [...times, '--jobs', '1'];

/** The same with two page processes, for tests in which pages are worked on side by side. */
export const sideBySide = [...times, '--jobs', '2'];

/** A daemon in a process of its own, as people start it. */
export interface RunningDaemon {
  readonly child: ChildProcess;
  readonly events: WatchEvent[];
  /** What it wrote to standard error. */
  complaints(): string;
  /** Waits for an event that was not waited for before; the limit is for a machine that is busy with other things. */
  event(wanted: (event: WatchEvent) => boolean, what: string, limitMs?: number): Promise<WatchEvent>;
  /** Sends a signal and waits for the end; the exit code, or the signal that ended it. */
  end(signal?: NodeJS.Signals): Promise<number | NodeJS.Signals | null>;
}

/**
 * Starts `platehand watch` on a folder; wait for its `started` event before relying on it.
 * @param user whom it runs as, when the tests may choose
 */
export function startDaemon(
  folder: string,
  options: readonly string[] = quick,
  user: { readonly uid?: number; readonly gid?: number } = {},
): RunningDaemon {
  const child = spawn(process.execPath, [cliPath, 'watch', folder, '--log-json', ...options], {
    stdio: ['ignore', 'pipe', 'pipe'],
    ...user,
  });
  const events: WatchEvent[] = [];
  const used = new Set<WatchEvent>();
  let rest = '';
  let complaints = '';
  child.stdout?.on('data', (chunk: Buffer) => {
    const lines = (rest + chunk.toString()).split('\n');
    rest = lines.pop() ?? '';
    for (const line of lines) events.push(JSON.parse(line) as WatchEvent);
  });
  child.stderr?.on('data', (chunk: Buffer) => {
    complaints += chunk.toString();
  });
  const ended = new Promise<number | NodeJS.Signals | null>((resolve) => {
    child.once('exit', (code, signal) => resolve(signal ?? code));
  });
  return {
    child,
    events,
    complaints: () => complaints,
    async event(wanted, what, limitMs = busyMs) {
      const found = () => events.find((event) => !used.has(event) && wanted(event));
      const log = () =>
        `${events.map(({ kind, message }) => `${kind}: ${message}`).join('\n')}\n${complaints}`;
      await until(
        () => found() !== undefined,
        () => `${what}, in\n${log()}`,
        limitMs,
      );
      const event = found();
      if (event === undefined) throw new Error(what);
      used.add(event);
      return event;
    },
    async end(signal = 'SIGTERM') {
      child.kill(signal);
      return ended;
    },
  };
}

/**
 * Waits until the daemon has looked at the folder twice more, whatever it may not read or write there: each look begins with
 * job.yaml, and the second one that finds it touched tells so.
 */
export async function looksAgain(daemon: RunningDaemon, folder: string): Promise<void> {
  await utimes(join(folder, 'job.yaml'), new Date(), new Date());
  await daemon.event(({ kind }) => kind === 'job-changed', 'two more looks');
}

/** The shortest pause between two looks at a condition, in milliseconds. */
const leastPauseMs = 20;

/** A look that reads a whole issue is not to take the processor from the daemon that it waits for: a fifth of it at most. */
const restPerLook = 4;

/** Waits until something holds; fails with `what` when it does not within the limit. */
export async function until(
  holds: () => boolean | Promise<boolean>,
  what: string | (() => string),
  limitMs = busyMs,
): Promise<void> {
  const endMs = performance.now() + limitMs;
  for (;;) {
    const lookedMs = performance.now();
    if (await holds()) return;
    const nowMs = performance.now();
    if (nowMs > endMs) throw new Error(`not in time: ${typeof what === 'string' ? what : what()}`);
    await pause(Math.max(leastPauseMs, restPerLook * (nowMs - lookedMs)));
  }
}

/** A page as `platehand status` sees it. */
export async function pageIn(folder: string, page: string) {
  const { report } = await readStatus(await loadJob(folder));
  const found = report.pages.find((one) => one.page === page);
  if (found === undefined) throw new Error(`no page ${page}`);
  return found;
}

function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

export async function sha256Of(path: string): Promise<string | undefined> {
  return readFile(path).then(sha256, () => undefined);
}

/** Whether a page is made of exactly these files, and its press files stand in place as its result says. */
export async function isMadeOf(
  folder: string,
  page: string,
  sources: readonly Uint8Array[],
): Promise<boolean> {
  const { state, used, outputs } = await pageIn(folder, page);
  if (state !== 'done' && state !== 'attention') return false;
  const wanted = sources.map(sha256).sort();
  if (JSON.stringify(used.map((file) => file.sha256).sort()) !== JSON.stringify(wanted)) return false;
  const press = outputs.filter(({ product }) => product === 'press');
  for (const { name, sha256: made } of press) {
    if ((await sha256Of(join(folder, 'press', name))) !== made) return false;
  }
  return press.length > 0;
}
