import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, test } from 'vitest';
import { packageRoot } from '../../../config/package-root.js';
import { until } from '../../helpers/daemon.js';

const watchUrl = pathToFileURL(join(packageRoot(), 'dist', 'pipeline', 'runner', 'parent-watch.js')).href;

/** Watches its parent, tells that it is about to be busy, and then is so for a minute without looking at anything. */
const busyChild = `import('${watchUrl}').then(({ endWithParent }) => {
  endWithParent();
  setTimeout(() => {
    process.send(process.pid);
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 60_000);
  }, 500);
});`;

/** Starts such a child, says its number, and waits. */
const parentCode = `
  const stdio = ['ignore', 'ignore', 'inherit', 'ipc'];
  const child = require('node:child_process').spawn(process.execPath, ['-e', process.argv[1]], { stdio });
  child.on('message', (pid) => process.stdout.write(String(pid)));
  setInterval(() => undefined, 1000);
`;

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

test.runIf(process.platform !== 'win32')(
  'a process that hears of nothing ends within a second of its killed parent',
  async () => {
    const parent = spawn(process.execPath, ['-e', parentCode, busyChild], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let said = '';
    parent.stdout?.on('data', (chunk: Buffer) => {
      said += chunk.toString();
    });
    await until(() => said !== '', 'the number of the child');
    const pid = Number(said);
    expect(isAlive(pid)).toBe(true);
    parent.kill('SIGKILL');
    await until(() => !isAlive(pid), 'the end of the child', 5000);
  },
);
