import { execFileSync, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { packageRoot } from '../../../config/package-root.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'hard-end-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const hardEnd = pathToFileURL(join(packageRoot(), 'dist', 'watch', 'commands', 'hard-end.js')).href;

/** How a process ends that does something and then ends itself hard; undefined while it lives. */
async function endOf(before: string, limitMs: number): Promise<number | string | undefined> {
  const code = `${before}; import('${hardEnd}').then(({ endInTime }) => endInTime({ close: async () => undefined }, 300));`;
  const child = spawn(process.execPath, ['-e', code], { stdio: 'ignore' });
  const ended = new Promise<number | string>((resolve) => {
    child.once('exit', (code, signal) => resolve(signal ?? code ?? ''));
  });
  try {
    return await Promise.race([ended, pause(limitMs, undefined)]);
  } finally {
    child.kill('SIGKILL');
  }
}

describe('a hard end', () => {
  test('is an ordinary one where nothing is in its way', async () => {
    expect(await endOf('setInterval(() => undefined, 1000)', 20_000)).toBe(0);
  });

  test.runIf(process.platform !== 'win32')('comes although a thread waits for a pipe for ever', async () => {
    const pipe = join(folder, 'pipe');
    execFileSync('mkfifo', [pipe]);
    expect(await endOf(`require('fs').open('${pipe}', () => undefined)`, 20_000)).toBe('SIGKILL');
  });
});
