import { SHARE_ENV, Worker } from 'node:worker_threads';

/** How often the thread looks, in milliseconds: so long a process may outlive the one that it works for. */
const lookMs = 250;

/** Megabytes that the thread's engine may take: it holds two numbers. */
const smallest = { maxOldGenerationSizeMb: 8, maxYoungGenerationSizeMb: 1, stackSizeMb: 1 } as const;

/**
 * A process whose parent is gone is given another by the system, so its parent's number changes. Sleeps between looks, and can be ended
 * while it does.
 */
const threadCode = `
  const sleeper = new Int32Array(new SharedArrayBuffer(4));
  const { workerData: parent } = require('node:worker_threads');
  while (process.ppid === parent) Atomics.wait(sleeper, 0, 0, ${lookMs});
  process.kill(process.pid, 'SIGKILL');
`;

/**
 * Ends this process once the one that started it is gone, whatever it is at. That its channel is closed is news that waits until the pixels
 * in hand are done, for seconds perhaps; a thread of its own does not wait. Windows tells nothing of a parent that is gone: there the
 * channel has to do.
 */
export function endWithParent(): void {
  // An ordinary end would wait for the image library's threads.
  process.on('disconnect', () => process.kill(process.pid, 'SIGKILL'));
  if (process.platform === 'win32') return;
  const thread = new Worker(threadCode, {
    eval: true,
    workerData: process.ppid,
    resourceLimits: smallest,
    execArgv: [],
    env: SHARE_ENV,
  });
  // Without the thread, for want of memory perhaps, the channel still tells.
  thread.on('error', () => undefined);
  thread.unref();
}
