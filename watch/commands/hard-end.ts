import { spawn } from 'node:child_process';
import type { Daemon } from '../daemon/daemon.js';

/** An ending that takes longer than this is cut short: five seconds are promised, and nothing is lost by it. */
const hardEndMs = 4_500;

/** An ordinary end takes some milliseconds; what takes longer than this does not come. */
const ordinaryEndMs = 300;

/**
 * What the helper runs. It is told whom to end: by the time that it runs, the process that started it may be gone, and its number another's.
 */
const helperCode =
  'const parent = Number(process.argv[1]);' +
  `setTimeout(() => process.ppid === parent && process.kill(parent, 'SIGKILL'), ${ordinaryEndMs});`;

/**
 * Closes the daemon, and ends the process where that takes too long; also once everything is closed, since something that the system does
 * not give back may still keep the process.
 * @param limitMs how long closing may take, in milliseconds; default 4500
 */
export async function endInTime(daemon: Daemon, limitMs = hardEndMs): Promise<void> {
  // What is cut off here is what a crash would cut off: nothing unfinished has a final name.
  setTimeout(endHard, limitMs).unref();
  await daemon.close();
}

/**
 * Ends this process with exit code 0, or by SIGKILL where that does not end it: an ordinary end waits for the threads that read and write,
 * and one may hang in the system for ever, in a pipe or in a share that does not answer.
 */
function endHard(): never {
  const helper = spawn(process.execPath, ['-e', helperCode, String(process.pid)], {
    detached: true,
    stdio: 'ignore',
    windowsHide: true,
  });
  helper.unref();
  // Without a helper there is no second chance.
  if (helper.pid === undefined) process.kill(process.pid, 'SIGKILL');
  process.exit(0);
}

/** Resolves once this process is asked to end; from then on a further request changes nothing. */
export function endRequest(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, () => resolve());
  });
}
