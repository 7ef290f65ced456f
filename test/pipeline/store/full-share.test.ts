import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { readdir, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { openFolderObjects } from '../../../pipeline/store/folder-objects.js';
import { sum } from '../../helpers/bags.js';

/** A disk of 256 kB; undefined where this user may not mount one. */
function smallDisk(): string | undefined {
  const folder = mkdtempSync(join(tmpdir(), 'small-'));
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=256k', 'tmpfs', folder], { stdio: 'ignore' });
    return folder;
  } catch {
    rmSync(folder, { recursive: true });
    return undefined;
  }
}

const disk = smallDisk();

describe.skipIf(disk === undefined)(
  'a shared folder on a full disk (skipped where no disk may be mounted)',
  () => {
    const folder = disk ?? '';
    const outside = mkdtempSync(join(tmpdir(), 'outside-'));
    afterAll(() => {
      execFileSync('umount', [folder]);
      for (const each of [folder, outside]) rmSync(each, { recursive: true });
    });

    test('says so, leaves nothing half-put, and takes what fits once there is room', async () => {
      const store = await openFolderObjects(join(folder, 'store'));
      const path = join(outside, 'source');
      const put = async (name: string, bytes: number) => {
        const content = Buffer.alloc(bytes, 7);
        await writeFile(path, content);
        await store.putFile(name, path, { sha256: sum('sha256', content), bytes });
      };
      await put('objects/one', 100_000);
      await expect(put('objects/two', 300_000)).rejects.toMatchObject({
        code: 'store-unreachable',
        what: expect.stringContaining('is full'),
      });
      expect(await readdir(join(folder, 'store', 'objects'))).toEqual(['one']);
      await put('objects/three', 100_000);
      expect(await store.sizeOf('objects/three')).toBe(100_000);
    });
  },
);
