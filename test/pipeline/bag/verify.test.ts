import { execFileSync } from 'node:child_process';
import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deflateRawSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type VerifyReport, verifyBag } from '../../../pipeline/bag/verify.js';
import { type BagParts, bag, withTagManifest, writeBag } from '../../helpers/bags.js';
import { type MadeEntry, makeZip } from '../../helpers/zip-parts.js';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-verify-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

const pages: BagParts = { 'data/press/p07.tif': 'page seven', 'data/delivery.json': '{}' };

function asEntries(parts: BagParts, top = 'SHN04/'): MadeEntry[] {
  return Object.entries(parts).map(([path, data]) => ({ name: top + path, data: Buffer.from(data) }));
}

async function verifyZip(entries: readonly MadeEntry[] | Buffer): Promise<VerifyReport> {
  const path = join(folder, 'SHN04.zip');
  await writeFile(path, Buffer.isBuffer(entries) ? entries : makeZip(entries as MadeEntry[]));
  return verifyBag(path);
}

const codes = (notes: VerifyReport['problems']): string[] => notes.map((note) => note.code);

describe('a bag that arrives whole', () => {
  it('verifies as a ZIP, as its folder, and as the folder one level above', async () => {
    const parts = withTagManifest(bag(pages, { 'bag-info.txt': 'Payload-Oxum: 12.2\n' }));
    await writeBag(join(folder, 'in', 'SHN04'), parts);
    const expected = {
      ok: true,
      bagName: 'SHN04',
      version: '1.0',
      files: 2,
      bytes: 12,
      problems: [],
      problemCount: 0,
      warnings: [],
    };
    expect(await verifyZip(asEntries(parts))).toEqual({ ...expected, kind: 'zip' });
    expect(await verifyBag(join(folder, 'in', 'SHN04'))).toEqual({ ...expected, kind: 'folder' });
    expect(await verifyBag(join(folder, 'in'))).toEqual({ ...expected, kind: 'folder' });
  });

  it('verifies by a symbolic link to its folder or its ZIP', async () => {
    await writeBag(join(folder, 'in', 'SHN04'), bag(pages));
    await verifyZip(asEntries(bag(pages)));
    await symlink(join(folder, 'in', 'SHN04'), join(folder, 'newest'));
    await symlink('SHN04.zip', join(folder, 'newest.zip'));
    expect(await verifyBag(join(folder, 'newest'))).toMatchObject({ ok: true, kind: 'folder', problems: [] });
    expect(await verifyBag(join(folder, 'newest.zip'))).toMatchObject({
      ok: true,
      kind: 'zip',
      problems: [],
    });
  });

  it('verifies without a top folder, with a hint how to unpack it', async () => {
    const report = await verifyZip(asEntries(bag(pages), ''));
    expect(report).toMatchObject({ ok: true, bagName: 'SHN04' });
    expect(codes(report.warnings)).toEqual(['no-top-folder']);
  });

  it('verifies beside litter that an archiver added, and says that this is not checked', async () => {
    const litter = { name: '__MACOSX/._SHN04', data: Buffer.from('x') };
    const report = await verifyZip([...asEntries(bag(pages)), litter]);
    expect(report.ok).toBe(true);
    expect(report.warnings).toMatchObject([
      { code: 'files-beside', what: expect.stringMatching(/^1 more file/) },
    ]);
  });
});

describe('what happens on the way to the receiver', () => {
  it.each<[string, (parts: BagParts) => void, string, string]>([
    [
      'a page that is lost',
      (parts) => delete parts['data/press/p07.tif'],
      'file-missing',
      'data/press/p07.tif',
    ],
    [
      'a page that was touched',
      (parts) => {
        parts['data/press/p07.tif'] = 'page 7even';
      },
      'checksum-mismatch',
      'data/press/p07.tif',
    ],
    [
      'a page that was slipped in',
      (parts) => {
        parts['data/press/p08.tif'] = 'x';
      },
      'file-unlisted',
      'data/press/p08.tif',
    ],
    [
      'a tag file that was touched',
      (parts) => {
        parts['note.txt'] = 'changed';
      },
      'checksum-mismatch',
      'note.txt',
    ],
    ['a tag file that is lost', (parts) => delete parts['note.txt'], 'file-missing', 'note.txt'],
    ['the declaration lost', (parts) => delete parts['bagit.txt'], 'not-a-bag', ''],
  ])('finds %s, in a ZIP and in a folder', async (_name, harm, code, path) => {
    const parts = withTagManifest(bag(pages, { 'note.txt': 'as sent' }));
    harm(parts);
    await writeBag(join(folder, 'SHN04'), parts);
    for (const report of [await verifyZip(asEntries(parts)), await verifyBag(join(folder, 'SHN04'))]) {
      expect(report.ok).toBe(false);
      expect(report.problems).toHaveLength(1);
      expect(report.problems[0].code).toBe(code);
      expect(report.problems[0].path ?? '').toBe(path);
      expect(report.problems[0].remedy).not.toBe('');
    }
  });

  it('says which file is damaged inside the archive, though its length is right', async () => {
    const entries = asEntries(bag(pages));
    const at = entries.findIndex((entry) => entry.name.endsWith('p07.tif'));
    entries[at] = { ...entries[at], crc: 12345 };
    const report = await verifyZip(entries);
    expect(report.problems).toMatchObject([
      { code: 'file-damaged', path: 'data/press/p07.tif', what: expect.stringMatching(/CRC/) },
    ]);
  });

  it('says that nothing is there', async () => {
    await expect(verifyBag(join(folder, 'gone.zip'))).rejects.toMatchObject({
      code: 'bundle-invalid',
      remedy: 'Check the path; it names a ZIP or a folder.',
    });
  });

  it.each([
    ['an empty file', Buffer.alloc(0)],
    ['a picture', Buffer.from('II*\0 no archive')],
    ['the first half of an archive', makeZip(asEntries(bag(pages))).subarray(0, 300)],
  ])('reports %s as no readable archive', async (_name, bytes) => {
    const report = await verifyZip(bytes);
    expect(report.ok).toBe(false);
    expect(codes(report.problems)).toEqual(['archive-unreadable', 'not-a-bag']);
  });

  it('asks to choose where a folder holds several bags', async () => {
    await writeBag(join(folder, 'a'), bag(pages));
    await writeBag(join(folder, 'b'), bag(pages));
    expect(codes((await verifyBag(folder)).problems)).toEqual(['several-bags']);
  });
});

describe('an archive made to do harm', () => {
  const evil = Buffer.from('x');
  it.each<[string, MadeEntry, string]>([
    ['a path that leads upwards', { name: '../evil', data: evil }, 'archive-unreadable'],
    ['an absolute path', { name: '/etc/evil', data: evil }, 'archive-unreadable'],
    ['a drive letter', { name: 'C:/evil', data: evil }, 'archive-unreadable'],
    ['a backslash', { name: 'SHN04\\evil', data: evil }, 'archive-unreadable'],
    ['a link', { name: 'SHN04/data/link', data: Buffer.from('/etc/passwd'), mode: 0o120777 }, 'entry-unsafe'],
    ['a device', { name: 'SHN04/data/dev', data: evil, mode: 0o060600 }, 'entry-unsafe'],
    ['a NUL in a name', { name: 'SHN04/data/a\0.tif', data: evil }, 'entry-unsafe'],
    ['a path with an empty step', { name: 'SHN04//evil', data: evil }, 'entry-unsafe'],
    ['an encrypted entry', { name: 'SHN04/data/e', data: evil, flags: 1, size: 1 }, 'archive-unreadable'],
    ['an unknown method', { name: 'SHN04/data/e', data: evil, method: 12 }, 'entry-unsafe'],
    ['a file twice', { name: 'SHN04/data/press/p07.tif', data: Buffer.from('other page') }, 'entry-twice'],
    [
      'two names for one entry',
      { name: 'SHN04/n.txt', localName: 'SHN04/m.txt', data: evil },
      'file-damaged',
    ],
    [
      'more bytes than claimed',
      { name: 'SHN04/n.txt', data: deflateRawSync('xxxx'), method: 8, size: 2 },
      'file-damaged',
    ],
  ])('is refused for %s', async (_name, entry, code) => {
    const report = await verifyZip([...asEntries(bag(pages)), entry]);
    expect(report.ok).toBe(false);
    expect(codes(report.problems)).toContain(code);
  });

  it('is refused before it is unpacked when it would swell to more than a hundred times its size', async () => {
    const bomb = { name: 'SHN04/data/b', data: Buffer.alloc(9000), method: 8, size: 1.5 * 1024 ** 3 };
    const report = await verifyZip([...asEntries(bag(pages)), bomb]);
    expect(report.problems[0]).toMatchObject({
      code: 'archive-unreadable',
      what: expect.stringMatching(/100 times/),
    });
  });

  it('is refused when its entries share their bytes', async () => {
    const zip = makeZip(asEntries(bag(pages)));
    const once = { name: 'SHN04/data/b', data: Buffer.alloc(5000) };
    const many = makeZip(Array.from({ length: 3 }, (_, i) => ({ ...once, name: `SHN04/data/${i}` })));
    // Keeps the directory of three entries but only one entry's bytes.
    const directory = many.subarray(many.indexOf(Buffer.from('PK\x01\x02', 'latin1')));
    const local = 30 + 'SHN04/data/0'.length + 5000;
    const squeezed = Buffer.concat([many.subarray(0, local), directory]);
    squeezed.writeUInt32LE(local, squeezed.length - 6);
    expect((await verifyZip(squeezed)).problems[0].what).toMatch(/claim more bytes than it has/);
    expect((await verifyZip(zip)).ok).toBe(true);
  });

  it.skipIf(process.platform === 'win32')('is refused as a folder with a link in it', async () => {
    await writeBag(join(folder, 'SHN04'), bag(pages));
    await symlink('/etc/passwd', join(folder, 'SHN04', 'data', 'link'));
    await mkdir(join(folder, 'SHN04', 'data', 'empty'));
    expect((await verifyBag(join(folder, 'SHN04'))).problems).toMatchObject([
      { code: 'entry-unsafe', path: 'data/link' },
    ]);
  });
});

it.runIf(process.platform !== 'win32')('a pipe that is to be verified is refused at once', async () => {
  const path = join(folder, 'TDL03-1.zip');
  execFileSync('mkfifo', [path]);
  await expect(verifyBag(path)).rejects.toMatchObject({ code: 'bundle-invalid' });
});

it.runIf(process.platform === 'linux')(
  'a file whose name is not UTF-8 is told, and nothing else is missed for it',
  async () => {
    const root = join(folder, 'SHN04');
    await writeBag(root, bag(pages));
    const name = Buffer.concat([Buffer.from(`${root}/data/`), Buffer.from('p\xe4.tif', 'latin1')]);
    await writeFile(name, 'x');
    const { problems } = await verifyBag(root);
    expect(problems.map(({ code, path }) => [code, path])).toEqual([['name-not-utf8', 'data/p\\xe4.tif']]);
  },
);

describe('what is said of a bag is bounded', () => {
  it('lists the first problems of a manifest of bad lines, and counts the rest', async () => {
    const parts = bag(pages);
    const name = Object.keys(parts).find((each) => each.startsWith('manifest-')) ?? '';
    const bad = 'no line of a manifest\n'.repeat(5000);
    const { ok, problems, problemCount } = await verifyZip(
      asEntries({ ...parts, [name]: `${parts[name]}${bad}` }),
    );
    expect([ok, problemCount, problems.length]).toEqual([false, 5000, 301]);
    expect(problems[0].what).toContain('Line 3 ');
    expect(problems.at(-1)).toMatchObject({
      code: 'more-problems',
      what: '4700 more problems are not listed',
    });
  });

  it('looks at as many entries as there are in a time that grows with their number only', async () => {
    const left = (count: number) =>
      Object.fromEntries(Array.from({ length: count }, (_, i) => [`data/._p${i}`, 'x']));
    const msOf = async (count: number) => {
      const entries = asEntries({ ...bag(pages), ...left(count) });
      const startMs = performance.now();
      expect((await verifyZip(entries)).problems.map(({ code }) => code)).toContain('system-files');
      return performance.now() - startMs;
    };
    await msOf(500);
    const few = await msOf(1000);
    // Sixteen times as many; with the square of them it would be two hundred and fifty times as long.
    expect(await msOf(16_000)).toBeLessThan(60 * few);
  });
});
