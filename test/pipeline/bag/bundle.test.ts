import { createHash } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { BundleContent, BundleFile } from '../../../pipeline/bag/bag-entries.js';
import { writeBundle } from '../../../pipeline/bag/bundle.js';
import { verifyBag } from '../../../pipeline/bag/verify.js';
import { readZip } from '../../helpers/zip-parts.js';

/** What verifying is to report instead of the truth, once. */
const disturbed = vi.hoisted(() => ({ once: undefined as string | undefined }));
vi.mock('../../../pipeline/bag/verify.js', async (original) => {
  const real = await original<typeof import('../../../pipeline/bag/verify.js')>();
  const verify: typeof real.verifyBag = async (path) => {
    const report = await real.verifyBag(path);
    if (disturbed.once === undefined) return report;
    const problem = {
      code: 'file-damaged',
      path: disturbed.once,
      what: 'It cannot be read whole',
      remedy: 'Ask again.',
    };
    disturbed.once = undefined;
    return { ...report, ok: false, problems: [problem] };
  };
  return { ...real, verifyBag: verify };
});

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-bundle-'));
});
afterEach(async () => {
  disturbed.once = undefined;
  await rm(folder, { recursive: true, force: true });
});

/** Day of all these deliveries. */
const day = '2026-11-20';

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

async function onDisk(name: string, bytes: Uint8Array): Promise<{ file: string }> {
  await writeFile(join(folder, name), bytes);
  return { file: join(folder, name) };
}

/** A small delivery of one page: files from the disk and from memory, packed ones and text. */
async function delivery(): Promise<BundleContent> {
  const composite = Buffer.from('II*\0 a composite '.repeat(5000));
  const files: BundleFile[] = [
    { path: 'press/SHN04_007.tif', source: await onDisk('c.tif', composite), sha256: sha256(composite) },
    { path: 'plates/SHN04_007_K.tif', source: { bytes: Buffer.from('black') } },
    { path: 'proofs/SHN04_007 Märzabend.png', source: { bytes: Buffer.from('proof') } },
    { path: 'delivery.json', source: { bytes: Buffer.from('{"pages":[]}\n'.repeat(200)) } },
    { path: 'notes.txt', source: { bytes: Buffer.alloc(0) } },
  ];
  return {
    name: 'SHN04-delivery',
    day,
    files,
    info: [
      ['External-Identifier', 'SHN04'],
      ['Note', 'two\nlines'],
    ],
  };
}

describe('a bundle', () => {
  it('is a bag in one folder of that name, with everything in the order of its bytes', async () => {
    const target = join(folder, 'SHN04.zip');
    const report = await writeBundle(target, await delivery());
    const entries = readZip(await readFile(target));
    expect(entries.map((entry) => entry.name)).toEqual([
      'SHN04-delivery/bag-info.txt',
      'SHN04-delivery/bagit.txt',
      'SHN04-delivery/data/delivery.json',
      'SHN04-delivery/data/notes.txt',
      'SHN04-delivery/data/plates/SHN04_007_K.tif',
      'SHN04-delivery/data/press/SHN04_007.tif',
      'SHN04-delivery/data/proofs/SHN04_007 Märzabend.png',
      'SHN04-delivery/manifest-sha256.txt',
      'SHN04-delivery/tagmanifest-sha256.txt',
    ]);
    const text = (name: string): string | undefined =>
      entries.find((entry) => entry.name === `SHN04-delivery/${name}`)?.data.toString();
    const octets = 85000 + 5 + 5 + 2600;
    expect(text('bag-info.txt')).toBe(
      `External-Identifier: SHN04\nNote: two lines\nPayload-Oxum: ${octets}.5\n`,
    );
    expect(text('bagit.txt')).toBe('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
    expect(text('manifest-sha256.txt')?.split('\n')[2]).toBe(
      `${sha256(Buffer.from('black'))}  data/plates/SHN04_007_K.tif`,
    );
    expect(
      text('tagmanifest-sha256.txt')
        ?.split('\n')
        .map((line) => line.slice(66)),
    ).toEqual(['bag-info.txt', 'bagit.txt', 'manifest-sha256.txt', '']);
    expect(report).toMatchObject({
      path: target,
      verified: { ok: true, problems: [], warnings: [], files: 5, bytes: octets },
    });
    expect(report.sha256).toBe(sha256(await readFile(target)));
    expect(report.files[1]).toEqual({ path: 'notes.txt', bytes: 0, sha256: sha256(Buffer.alloc(0)) });
  });

  it('stores what is packed already and deflates text', async () => {
    const target = join(folder, 'b.zip');
    await writeBundle(target, await delivery());
    const methods = readZip(await readFile(target)).map(({ name, method }) => [
      name.split('.').pop(),
      method,
    ]);
    for (const [extension, method] of methods.slice(4, 7))
      expect([extension, method]).toEqual([extension, 0]);
    expect(methods[2]).toEqual(['json', 8]);
  });

  it('has the same bytes on every run, in any order of files, time zone and umask', async () => {
    const content = await delivery();
    const first = await writeBundle(join(folder, 'a.zip'), content);
    const zone = process.env.TZ;
    const umask = process.umask(0o077);
    process.env.TZ = 'Pacific/Kiritimati';
    try {
      const files = [...content.files].reverse();
      const second = await writeBundle(join(folder, 'b.zip'), { ...content, files });
      expect(second.sha256).toBe(first.sha256);
      expect((await readFile(join(folder, 'a.zip'))).equals(await readFile(join(folder, 'b.zip')))).toBe(
        true,
      );
    } finally {
      process.umask(umask);
      if (zone === undefined) delete process.env.TZ;
      else process.env.TZ = zone;
    }
  });

  it('is the same whether a file comes from the disk or from memory', async () => {
    const bytes = Buffer.from('one page '.repeat(9000));
    const content = (source: BundleFile['source']): BundleContent => ({
      name: 'b',
      day,
      info: [],
      files: [{ path: 'p.tif', source }],
    });
    const fromDisk = await writeBundle(join(folder, 'a.zip'), content(await onDisk('p.tif', bytes)));
    const fromMemory = await writeBundle(join(folder, 'b.zip'), content({ bytes }));
    expect(fromDisk.sha256).toBe(fromMemory.sha256);
  });
});

describe('a bundle that cannot be made', () => {
  const page = (path: string): BundleFile => ({ path, source: { bytes: Buffer.from(path) } });

  it('names the file that is not as it was when it was made, keeps the older bundle, leaves no part', async () => {
    const target = join(folder, 'SHN04.zip');
    await writeFile(target, 'the delivery of yesterday');
    const source = await onDisk('p.tif', Buffer.from('changed'));
    const files = [page('a.tif'), { path: 'press/p.tif', source, sha256: sha256(Buffer.from('as it was')) }];
    await expect(writeBundle(target, { name: 'b', day, info: [], files })).rejects.toMatchObject({
      code: 'bundle-failed',
      what: 'press/p.tif is not as it was when it was made',
      remedy: 'Run the pages again, then deliver.',
      place: { file: source.file },
    });
    expect(await readFile(target, 'utf8')).toBe('the delivery of yesterday');
    expect((await readdir(folder)).sort()).toEqual(['SHN04.zip', 'p.tif']);
  });

  it('names the file that is gone', async () => {
    const files = [{ path: 'press/p.tif', source: { file: join(folder, 'gone.tif') } }];
    await expect(
      writeBundle(join(folder, 'b.zip'), { name: 'b', day, info: [], files }),
    ).rejects.toMatchObject({
      code: 'bundle-failed',
      what: expect.stringMatching(/^press\/p\.tif cannot be read/),
    });
    expect(await readdir(folder)).toEqual([]);
  });

  it.skipIf(process.platform !== 'linux')('names the file that grew after it was measured', async () => {
    // Files of /proc say that they have no length, yet there is something to read (Linux, proc(5)).
    const files = [{ path: 'press/p.tif', source: { file: '/proc/version' } }];
    await expect(writeBundle(join(folder, 'b.zip'), { name: 'b', day, info: [], files })).rejects.toThrow(
      /press\/p\.tif is not as it was/,
    );
  });

  it('gets no name when it does not read back as it was written', async () => {
    const target = join(folder, 'b.zip');
    await writeFile(target, 'older');
    disturbed.once = 'data/p.tif';
    const content = { name: 'b', day, info: [], files: [page('p.tif')] };
    await expect(writeBundle(target, content)).rejects.toMatchObject({
      code: 'bundle-failed',
      what: expect.stringMatching(/does not read back as it was written: data\/p\.tif/),
      remedy: expect.stringMatching(/Check the disk/),
    });
    expect(await readFile(target, 'utf8')).toBe('older');
    expect(await readdir(folder)).toEqual(['b.zip']);
  });

  it('says that its folder is gone', async () => {
    const content = { name: 'b', day, info: [], files: [page('p.tif')] };
    await expect(writeBundle(join(folder, 'gone', 'b.zip'), content)).rejects.toMatchObject({
      code: 'write-failed',
      what: expect.stringMatching(/folder/),
    });
  });

  it.each([
    ['../evil.tif', /leads upwards/],
    ['/etc/p.tif', /absolute/],
    ['C:/p.tif', /drive letter/],
    ['press\\p.tif', /some systems cannot keep/],
    ['press/p:7.tif', /some systems cannot keep/],
    ['press//p.tif', /empty step/],
    ['press/.hidden', /some systems cannot keep/],
    ['press/p7.', /full stop/],
    ['press/NUL.tif', /Windows reserves/],
    ['press/com1', /Windows reserves/],
    ['press/e\u0301.tif', /accents/],
    ['press/a\nb.tif', /some systems cannot keep/],
  ])('refuses the name %j', async (path, why) => {
    const content = { name: 'b', day, info: [], files: [page(path)] };
    await expect(writeBundle(join(folder, 'b.zip'), content)).rejects.toMatchObject({
      code: 'bundle-failed',
      what: expect.stringMatching(why),
      remedy: expect.stringMatching(/naming pattern/),
    });
  });

  it('refuses two names that are one on some systems', async () => {
    const files = [page('press/P07.tif'), page('press/p07.tif')];
    await expect(writeBundle(join(folder, 'b.zip'), { name: 'b', day, info: [], files })).rejects.toThrow(
      /"press\/p07.tif" and "press\/P07.tif" are one name on some systems/,
    );
  });

  it('refuses to be empty', async () => {
    await expect(writeBundle(join(folder, 'b.zip'), { name: 'b', day, info: [], files: [] })).rejects.toThrow(
      /empty/,
    );
  });
});

it('a bundle that was cut short on its way is caught by the receiver', async () => {
  const target = join(folder, 'b.zip');
  await writeBundle(target, await delivery());
  const whole = await readFile(target);
  await writeFile(target, whole.subarray(0, whole.length - 4000));
  const report = await verifyBag(target);
  expect(report.ok).toBe(false);
  expect(report.problems.map((problem) => problem.code)).toContain('archive-unreadable');
});
