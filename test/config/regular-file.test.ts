import { execFileSync } from 'node:child_process';
import { mkdtemp, rm, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { NotAFileError, openRegular, readRegular, TooManyBytesError } from '../../config/regular-file.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'regular-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const hasPipes = process.platform !== 'win32';

describe('what stands where a file is expected', () => {
  test('is read where it is a file', async () => {
    const path = join(folder, 'a.icc');
    await writeFile(path, 'profile');
    expect((await readRegular(path, 7)).toString()).toBe('profile');
    await writeFile(path, '');
    expect(await readRegular(path, 7)).toHaveLength(0);
  });

  test.runIf(hasPipes)('is refused at once where it is a pipe that nobody writes to', async () => {
    const path = join(folder, 'pipe');
    execFileSync('mkfifo', [path]);
    await expect(openRegular(path)).rejects.toBeInstanceOf(NotAFileError);
    await expect(readRegular(path, 100)).rejects.toBeInstanceOf(NotAFileError);
  });

  test.runIf(hasPipes)('is refused where it is a folder, or a device without an end', async () => {
    for (const path of [folder, '/dev/zero', '/dev/null']) {
      await expect(readRegular(path, 100)).rejects.toBeInstanceOf(NotAFileError);
    }
  });

  test('is refused by its size before a byte of it is read', async () => {
    const path = join(folder, 'large.icc');
    await writeFile(path, '');
    await truncate(path, 60 * 2 ** 30);
    await expect(readRegular(path, 2 ** 20)).rejects.toMatchObject(new TooManyBytesError(60 * 2 ** 30));
  });

  test.runIf(process.platform === 'linux')(
    'is read to its end, and no further, where it states no size',
    async () => {
      // A file of the system's own: its size is given as 0.
      expect((await readRegular('/proc/self/status', 2 ** 20)).toString()).toContain('VmRSS');
      await expect(readRegular('/proc/self/status', 100)).rejects.toBeInstanceOf(TooManyBytesError);
    },
  );
});
