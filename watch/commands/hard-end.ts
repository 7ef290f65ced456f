import { spawn } from 'node:child_process';

/** An ordinary end takes some milliseconds; what takes longer than this does not come. */
const ordinaryEndMs = 100;

/**
 * What the helper runs. It is told whom to end: by the time that it runs, the process that started it may be gone, and its number another's.
 */
const helperCode =
  'const parent = Number(process.argv[1]);' +
  `setTimeout(() => process.ppid === parent && process.kill(parent, 'SIGKILL'), ${ordinaryEndMs});`;

/**
 * Ends this process with exit code 0, or by SIGKILL where that does not end it: an ordinary end waits for the threads that read and write,
 * and one may hang in the system for ever, in a pipe or in a share that does not answer.
 */
export function endHard(): never {
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
