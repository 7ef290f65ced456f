import type { FileHandle } from 'node:fs/promises';
import { chmod, mkdir, mkdtemp, open, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { placeWhole, writeWhole } from '../../../pipeline/files/atomic.js';
import { isDiskTrouble } from '../../../pipeline/files/disk-trouble.js';
import { ownerTag } from '../../../pipeline/files/owner.js';

/** Error codes that the system is to answer with, once each, in place of linking or renaming. */
const refusals = vi.hoisted(() => ({ link: [] as string[], rename: [] as string[] }));
vi.mock('node:fs/promises', async (original) => {
  const fs = await original<typeof import('node:fs/promises')>();
  const refuse = (codes: string[]): void => {
    const code = codes.shift();
    if (code !== undefined) throw Object.assign(new Error(code), { code });
  };
  const link: typeof fs.link = async (from, to) => {
    refuse(refusals.link);
    await fs.link(from, to);
  };
  const rename: typeof fs.rename = async (from, to) => {
    refuse(refusals.rename);
    await fs.rename(from, to);
  };
  return { ...fs, link, rename };
});

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-atomic-'));
});
afterEach(async () => {
  await chmod(folder, 0o755);
  await rm(folder, { recursive: true, force: true });
});

async function* brokenOff(): AsyncGenerator<Uint8Array> {
  yield Buffer.from('half a pa');
  // Seen from outside while it is being written: only the temporary dot file exists beside the old one.
  const names = (await readdir(folder)).sort();
  expect(names).toHaveLength(2);
  expect(names[0]).toMatch(new RegExp(`^\\.p07\\.tif\\.${ownerTag}\\.[0-9a-f]{12}\\.part$`));
  throw new Error('the picture broke off');
}

describe('a file that is written whole', () => {
  it('holds pieces in their order, however many there are', async () => {
    const pieces = Array.from({ length: 2000 }, (_, i) => Buffer.alloc(i % 7, i));
    await writeWhole(join(folder, 'p07.tif'), pieces);
    expect((await readFile(join(folder, 'p07.tif'))).equals(Buffer.concat(pieces))).toBe(true);
  });

  it('holds every piece where the system takes a part of them at a time', async () => {
    const path = join(folder, 'p07.tif');
    const handle = await open(path, 'w');
    const prototype: FileHandle = Object.getPrototypeOf(handle);
    await handle.close();
    const sparing = vi.spyOn(prototype, 'writev').mockImplementation(async function (
      this: FileHandle,
      pieces,
    ) {
      const { bytesWritten } = await this.write(
        pieces[0] as Uint8Array,
        0,
        Math.min(3, pieces[0].byteLength),
      );
      return { bytesWritten, buffers: pieces };
    });
    await writeWhole(path, [Buffer.from('page '), Buffer.from('seven'), Buffer.from('.')]);
    expect(sparing.mock.calls.length).toBeGreaterThan(3);
    sparing.mockRestore();
    expect(await readFile(path, 'utf8')).toBe('page seven.');
  });

  it('holds exactly the bytes given, from one buffer or from a stream, and leaves nothing beside it', async () => {
    await writeWhole(join(folder, 'p07.tif'), Buffer.from('page seven'));
    await writeWhole(
      join(folder, 'p08.tif'),
      (async function* () {
        yield Buffer.from('page ');
        yield Buffer.from('eight');
      })(),
    );
    expect(await readFile(join(folder, 'p07.tif'), 'utf8')).toBe('page seven');
    expect(await readFile(join(folder, 'p08.tif'), 'utf8')).toBe('page eight');
    expect((await readdir(folder)).sort()).toEqual(['p07.tif', 'p08.tif']);
  });

  it('leaves the older file untouched when the new one breaks off, and removes the part', async () => {
    const path = join(folder, 'p07.tif');
    await writeWhole(path, Buffer.from('the good old page'));
    await expect(writeWhole(path, brokenOff())).rejects.toThrow('the picture broke off');
    expect(await readFile(path, 'utf8')).toBe('the good old page');
    expect(await readdir(folder)).toEqual(['p07.tif']);
  });

  it('works with the longest name that the file system allows', async () => {
    const name = `${'n'.repeat(251)}.tif`;
    await writeWhole(join(folder, name), Buffer.from('x'));
    expect(await readdir(folder)).toEqual([name]);
  });

  it.each([
    [
      'a folder that is gone',
      async () => join(folder, 'gone', 'p.tif'),
      /folder, or the file to copy, is gone/,
      /Bring the folder back/,
    ],
    [
      'a file in the place of a folder',
      async () => {
        await writeFile(join(folder, 'press'), '');
        return join(folder, 'press', 'p.tif');
      },
      /part of its path is a file/,
      /Move that file away/,
    ],
  ])('says plainly what to do about %s', async (_name, place, what, remedy) => {
    const path = await place();
    await expect(writeWhole(path, Buffer.from('x'))).rejects.toMatchObject({
      name: 'PlatehandError',
      code: 'write-failed',
      what: expect.stringMatching(what),
      remedy: expect.stringMatching(remedy),
      place: { file: path },
    });
  });

  it('says what to do about a name that is too long, which no waiting makes shorter', async () => {
    const path = join(folder, 'n'.repeat(300));
    const refusal = await writeWhole(path, Buffer.from('x')).catch((thrown: unknown) => thrown);
    expect(refusal).toMatchObject({
      name: 'PlatehandError',
      code: 'name-too-long',
      what: expect.stringMatching(/name is too long/),
      remedy: expect.stringMatching(/naming pattern/),
      place: { file: path },
    });
    const { cause } = refusal as Error;
    expect(cause).toMatchObject({ code: 'ENAMETOOLONG' });
    expect(isDiskTrouble(cause)).toBe(false);
  });

  it('refuses to replace a folder and removes its part', async () => {
    await mkdir(join(folder, 'p07.tif'));
    await expect(writeWhole(join(folder, 'p07.tif'), Buffer.from('x'))).rejects.toMatchObject({
      code: 'write-failed',
    });
    expect(await readdir(folder)).toEqual(['p07.tif']);
  });

  it('waits a moment for a scanner that holds the file', async () => {
    refusals.rename.push('EBUSY', 'EPERM');
    await writeWhole(join(folder, 'p07.tif'), Buffer.from('x'));
    expect(await readdir(folder)).toEqual(['p07.tif']);
  });

  it.each([
    ['ENOSPC', /disk is full/, /Make room/],
    ['EROFS', /read-only/, /can be written to/],
    ['EDQUOT', /share of the disk/, /Make room/],
  ])('says plainly what %s means and removes its part', async (code, what, remedy) => {
    refusals.rename.push(code);
    await expect(writeWhole(join(folder, 'p.tif'), Buffer.from('x'))).rejects.toMatchObject({
      code: 'write-failed',
      what: expect.stringMatching(what),
      remedy: expect.stringMatching(remedy),
    });
    expect(await readdir(folder)).toEqual([]);
  });
});

describe('a finished file that is put into place', () => {
  it('is the same file under a second name', async () => {
    const from = join(folder, 'cached');
    const to = join(folder, 'p07.tif');
    await writeFile(from, 'page seven');
    await placeWhole(from, to);
    expect((await stat(to)).ino).toBe((await stat(from)).ino);
    expect((await readdir(folder)).sort()).toEqual(['cached', 'p07.tif']);
  });

  it('replaces an older file without a moment of absence, and twice leaves no part behind', async () => {
    const from = join(folder, 'cached');
    const to = join(folder, 'p07.tif');
    await writeFile(from, 'new');
    await writeFile(to, 'old');
    await placeWhole(from, to);
    // Now both names are one file: rename(2) would do nothing and leave its source name in place.
    await placeWhole(from, to);
    expect(await readFile(to, 'utf8')).toBe('new');
    expect((await readdir(folder)).sort()).toEqual(['cached', 'p07.tif']);
  });

  it.each(['EXDEV', 'EPERM', 'ENOTSUP'])(
    'is copied where the file system answers %s to a link',
    async (code) => {
      const from = join(folder, 'cached');
      await writeFile(from, 'page seven');
      refusals.link.push(code);
      await placeWhole(from, join(folder, 'p07.tif'));
      expect(await readFile(join(folder, 'p07.tif'), 'utf8')).toBe('page seven');
      expect((await stat(join(folder, 'p07.tif'))).ino).not.toBe((await stat(from)).ino);
      expect((await readdir(folder)).sort()).toEqual(['cached', 'p07.tif']);
    },
  );

  it('says so when the finished file is gone, and leaves the older one', async () => {
    await writeFile(join(folder, 'p07.tif'), 'old');
    await expect(placeWhole(join(folder, 'gone'), join(folder, 'p07.tif'))).rejects.toMatchObject({
      code: 'write-failed',
    });
    expect(await readFile(join(folder, 'p07.tif'), 'utf8')).toBe('old');
    expect(await readdir(folder)).toEqual(['p07.tif']);
  });
});
