import { access, chmod, readdir, readFile, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { Running } from './attack-command.js';
import type { AttackedIssue } from './attack-issue.js';
import { colourVariant } from './watched-issue.js';

/** What happens while platehand works: programs for events that misbehave, folders that are moved, kills. */

const [watchLimitMs, runLimitMs, waitMs] = [180_000, 90_000, 60_000];
/** Less than the thirty seconds after which a program is ended: one that has ended by itself holds up nothing. */
const nextEventMs = 25_000;
/** Five seconds are promised for the end of a daemon; the rest is for a busy machine. */
const endMs = 6500;
const daemonOptions = ['--settle', '0.1', '--grace', '0.5', '--rescan', '1', '--jobs', '1', '--log-json'];

function watch(issue: AttackedIssue, ...more: readonly string[]): Running {
  return new Running(['watch', issue.folder, ...daemonOptions, ...more], issue.bounds(watchLimitMs));
}

/** Waits until something holds; a fault of the daemon where it does not. */
async function awaited(
  issue: AttackedIssue,
  what: string,
  holds: () => boolean | Promise<boolean>,
  limitMs = waitMs,
): Promise<void> {
  const lastMs = performance.now() + limitMs;
  while (!(await holds())) {
    if (performance.now() > lastMs) {
      issue.faults.hung.push(`not in ${limitMs / 1000} s: ${what}`);
      return;
    }
    await pause(100);
  }
}

const timesSaid = (daemon: Running, kind: string) => daemon.said.split(`"kind":"${kind}"`).length - 1;

/** Ends a daemon as people do, and looks whether it ends in time. */
async function ended(issue: AttackedIssue, daemon: Running): Promise<void> {
  const startMs = performance.now();
  daemon.child.kill('SIGTERM');
  const { code } = issue.judged(await daemon.end());
  const tookMs = performance.now() - startMs;
  if (tookMs > endMs) issue.faults.hung.push(`the daemon takes ${Math.round(tookMs)} ms to end`);
  if (code !== 0) issue.faults.wrong.push(`the daemon ends with ${code}`);
}

/** Programs for events by what they do; `$1` is a file that tells which events came. */
export const programs: Readonly<Record<string, string>> = {
  'hangs for ever': 'cat >> "$T"; sleep 1000',
  'leaves a child behind': 'cat >> "$T"; sleep 1000 & exit 0',
  'leaves a child in a group of its own': 'cat >> "$T"; setsid sleep 60 & exit 0',
  'reads nothing': 'exec 0<&-; echo x >> "$T"',
  'writes without end': 'cat >> "$T"; head -c 50000000 /dev/zero; head -c 50000000 /dev/zero >&2',
  'complains in control characters': 'cat >> "$T"; printf "\\033[2J\\302\\205\\342\\200\\256x" >&2; exit 3',
  'kills itself': 'cat >> "$T"; kill -9 $$',
};

/** A daemon with a program for events: pages are made all the same, and what the program leaves open holds up nothing. */
export async function program(issue: AttackedIssue, name: string): Promise<void> {
  const path = join(issue.base, 'tmp', 'tell');
  const told = join(issue.base, 'tmp', 'told');
  await writeFile(path, `#!/bin/sh\nT='${told}'\n${programs[name]}\n`);
  await chmod(path, 0o755);
  await writeFile(told, '');
  const daemon = watch(issue, '--on-event', path);
  await awaited(issue, 'both pages', () => timesSaid(daemon, 'page-done') >= 2);
  // One that hangs has its thirty seconds for each event.
  if (!name.includes('hangs'))
    await awaited(
      issue,
      'a second event for the program',
      async () => (await readFile(told, 'utf8')).split('\n').length > 2,
      nextEventMs,
    );
  await ended(issue, daemon);
  await issue.check();
}

/** A job folder that is moved away under its daemon and back again. */
export async function moved(issue: AttackedIssue): Promise<void> {
  const daemon = watch(issue);
  await awaited(issue, 'a start', () => timesSaid(daemon, 'started') > 0);
  const away = join(issue.base, 'tmp', 'away');
  await rename(issue.folder, away);
  await pause(3000);
  const isThere = await access(issue.folder).then(
    () => true,
    () => false,
  );
  if (isThere) {
    issue.faults.damaged.push(`a job folder was made anew: ${(await readdir(issue.folder)).join()}`);
    daemon.child.kill('SIGKILL');
    issue.judged(await daemon.end(), true);
    return;
  }
  await rename(away, issue.folder);
  await awaited(issue, 'the pages after the folder is back', () => timesSaid(daemon, 'page-done') >= 2);
  await ended(issue, daemon);
  await issue.check();
}

/** Who is killed. */
export const killed = [
  'run',
  'a page process of run',
  'deliver',
  'the daemon',
  'a page process of the daemon',
] as const;

/** Kills at a random moment, looks at what stands, and does the work again: then all is as if nothing had been. */
export async function kill(
  issue: AttackedIssue,
  who: (typeof killed)[number],
  random: () => number,
): Promise<void> {
  for (let i = 0; i < 3; i++)
    await writeFile(join(issue.incoming, `p${3 + 2 * i}.tif`), await colourVariant(2 + i));
  const isDaemon = who.includes('daemon');
  const words = isDaemon
    ? ['watch', issue.folder, ...daemonOptions]
    : who === 'deliver'
      ? ['deliver', issue.folder, '--partial', '--reason', 'x']
      : ['run', issue.folder, '--jobs', '2'];
  const victim = new Running(words, issue.bounds(runLimitMs));
  await pause(300 + random() * 5000);
  const isPart = who.startsWith('a page process');
  const pids = isPart ? await childrenOf(victim) : [victim.child.pid ?? 0];
  if (pids.length > 0) killPid(pids[Math.floor(random() * pids.length)]);
  if (isPart && isDaemon) {
    await awaited(
      issue,
      'the pages after a page process was killed',
      () => timesSaid(victim, 'page-done') >= 5,
    );
    await ended(issue, victim);
  } else issue.judged(await victim.end(), !isPart);
  await issue.checkWhole();
  await issue.keepingInputs(() => issue.platehand(runLimitMs, 'run', '--jobs', '2'));
  await issue.platehand(runLimitMs, 'deliver', '--partial', '--reason', 'x', '--date', '2026-11-20');
  await issue.check();
  await everyBundleVerifies(issue);
}

async function childrenOf({ child: { pid } }: Running): Promise<number[]> {
  const text = await readFile(`/proc/${pid}/task/${pid}/children`, 'utf8').catch(() => '');
  return text.split(' ').filter(Boolean).map(Number);
}

function killPid(pid: number): void {
  try {
    process.kill(pid, 'SIGKILL');
  } catch {
    // It has ended by itself.
  }
}

async function everyBundleVerifies(issue: AttackedIssue): Promise<void> {
  const bundles = (await readdir(join(issue.folder, 'delivery'))).filter(
    (name) => name.endsWith('.zip') && !name.startsWith('.'),
  );
  if (bundles.length === 0) issue.faults.lost.push('there is no bundle after the delivery');
  for (const name of bundles) {
    const { code } = await issue.command(runLimitMs, ['verify', join(issue.folder, 'delivery', name)]);
    if (code !== 0) issue.faults.damaged.push(`${name} does not verify`);
  }
}
