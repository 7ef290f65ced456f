import { mkdir, mkdtemp, rm, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { listAgain, listIncoming, litterRule, maxFolderDepth } from '../../../pipeline/names/incoming.js';

let folder = '';

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-incoming-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function put(name: string, bytes = 3): Promise<void> {
  const path = join(folder, name);
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, Buffer.alloc(bytes));
}

const namesOf = (list: readonly { readonly name: string }[]) => list.map((each) => each.name);

describe('the listing of incoming/', () => {
  test('is in the order that people count in, folders included', async () => {
    for (const name of ['p10.tif', 'p2.tif', 'P1.tif', 'scene 10/p3.tif', 'scene 2/p4.tif']) await put(name);
    const { files } = await listIncoming(folder);
    expect(namesOf(files)).toEqual(['P1.tif', 'p2.tif', 'p10.tif', 'scene 2/p4.tif', 'scene 10/p3.tif']);
  });

  test('gives size and time of each file, and its name as it is on disk', async () => {
    const name = 'couverture-arrie\u0300re.tif';
    await put(name, 1234);
    await utimes(join(folder, name), 1_700_000_000, 1_700_000_000);
    expect((await listIncoming(folder)).files).toMatchObject([
      { name, bytes: 1234, mtimeMs: 1_700_000_000_000 },
    ]);
  });

  test('keeps empty files, because somebody meant them to arrive', async () => {
    await put('p07.tif', 0);
    expect((await listIncoming(folder)).files).toMatchObject([{ name: 'p07.tif', bytes: 0 }]);
  });

  test('never follows symbolic links, to files, folders or nowhere', async () => {
    await put('real/p07.tif');
    await symlink(join(folder, 'real'), join(folder, 'loop'));
    await symlink(join(folder, 'real/p07.tif'), join(folder, 'p08.tif'));
    await symlink(join(folder, 'nowhere'), join(folder, 'p09.tif'));
    await symlink('..', join(folder, 'real', 'up'));
    const { files, skipped } = await listIncoming(folder);
    expect(namesOf(files)).toEqual(['real/p07.tif']);
    expect(namesOf(skipped)).toEqual(['loop', 'p08.tif', 'p09.tif', 'real/up']);
    for (const { rule, remedy } of skipped) {
      expect(rule).toBe('a symbolic link, which is never followed');
      expect(remedy).toBe('Copy the file itself into incoming/');
    }
  });

  test('looks into folders only so deep, and says where it stopped', async () => {
    const deepest = Array.from({ length: maxFolderDepth }, (_, at) => `d${at + 1}`).join('/');
    await put(`${deepest}/p07.tif`);
    await put(`${deepest}/over/p08.tif`);
    const { files, skipped } = await listIncoming(folder);
    expect(namesOf(files)).toEqual([`${deepest}/p07.tif`]);
    expect(skipped).toMatchObject([{ name: `${deepest}/over/`, rule: 'more than 4 folders deep' }]);
  });

  test('passes over litter and names the rule, folders as one entry', async () => {
    for (const name of ['.DS_Store', '._p07.tif', '__MACOSX/p07.tif', 'Thumbnails/p07.png', 'p07.tif.part']) {
      await put(name);
    }
    await put('p07.tif');
    const { files, skipped } = await listIncoming(folder);
    expect(namesOf(files)).toEqual(['p07.tif']);
    expect(namesOf(skipped).sort()).toEqual(
      ['.DS_Store', '._p07.tif', '__MACOSX/', 'Thumbnails/', 'p07.tif.part'].sort(),
    );
    for (const { rule } of skipped) expect(rule).not.toBe('');
  });

  test('of a folder that is not there is refused with advice', async () => {
    await expect(listIncoming(join(folder, 'gone'))).rejects.toMatchObject({
      name: 'PlatehandError',
      code: 'job-missing',
      place: { file: join(folder, 'gone') },
    });
  });

  test('of an empty folder is empty', async () => {
    expect(await listIncoming(folder)).toEqual({ files: [], skipped: [], hidden: [] });
  });
});

// Linux keeps names as bytes; other systems refuse such names or change them.
describe.runIf(process.platform === 'linux')('a name that is not UTF-8', () => {
  test('is listed with its bytes, and with what to do, as a file and as a folder', async () => {
    const latin = (name: string) => Buffer.concat([Buffer.from(`${folder}/`), Buffer.from(name, 'latin1')]);
    await writeFile(latin('QRY02_p01_f\xe4rg.tif'), 'x');
    await mkdir(latin('sc\xe8ne'));
    await writeFile(join(folder, 'QRY02_p02.tif'), 'x');
    const { files, skipped, hidden } = await listIncoming(folder);
    expect([files.map(({ name }) => name), hidden]).toEqual([['QRY02_p02.tif'], []]);
    const rule = expect.stringContaining('not UTF-8');
    const remedy = expect.stringContaining('another name');
    expect(skipped).toEqual([
      { name: 'QRY02_p01_f\\xe4rg.tif', rule, remedy },
      { name: 'sc\\xe8ne/', rule, remedy },
    ]);
  });
});

describe('litter', () => {
  test.each([
    '.DS_Store',
    '._p07.tif',
    '.p07.tif.swp',
    '.hidden',
    'Thumbs.db',
    'THUMBS.DB',
    'ehthumbs.db',
    'desktop.ini',
    'Desktop.ini',
    'Icon\r',
    '~$p07.tif',
    'p07.tif~',
    'p07.tmp',
    'p07.tif.part',
    'p07.tif.crdownload',
    'p07.tif.partial',
    'p07.swp',
    'p07.tif.bak',
    'p07.LOCK',
    'Thumbnails',
    '__MACOSX',
    '$RECYCLE.BIN',
    'p07.tif:Zone.Identifier',
  ])('%j is passed over', (name) => {
    expect(litterRule(name)).toBeTypeOf('string');
  });

  test.each([
    'p07.tif',
    'partial 07.tif',
    'p07_bak.tif',
    'thumbs 07.tif',
    '~p07.tif',
    'lock.tif',
    'tmp',
    'part 2',
  ])('%j is not', (name) => {
    expect(litterRule(name)).toBeUndefined();
  });
});

describe('listing once more what is known', () => {
  const again = async (...names: string[]) => {
    const last = await listIncoming(folder);
    return { last, list: () => listAgain(folder, last, new Set(names)) };
  };

  test('sees a file that has changed, and leaves the others as they were', async () => {
    for (const name of ['p1.tif', 'scene 2/p2.tif', 'p3.tif']) await put(name);
    const { last, list } = await again('scene 2/p2.tif');
    await put('scene 2/p2.tif', 99);
    await put('p3.tif', 77);
    expect((await list())?.files.map(({ bytes }) => bytes)).toEqual([3, 3, 99]);
    expect(last.files.map(({ bytes }) => bytes)).toEqual([3, 3, 3]);
  });

  test('lists everything where a file is new, gone, or none any more', async () => {
    await put('p1.tif');
    const isNew = await again('p2.tif');
    await put('p2.tif');
    expect(await isNew.list()).toBeUndefined();
    const isGone = await again('p1.tif');
    await rm(join(folder, 'p1.tif'));
    expect(await isGone.list()).toBeUndefined();
    const isLink = await again('p2.tif');
    await rm(join(folder, 'p2.tif'));
    await symlink(folder, join(folder, 'p2.tif'));
    expect(await isLink.list()).toBeUndefined();
  });
});
