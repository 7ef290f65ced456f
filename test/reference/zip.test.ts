import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeBundle } from '../../pipeline/bag/bundle.js';
import { openZipWriter } from '../../pipeline/bag/zip-writer.js';
import { readZip, type ZipPart } from '../helpers/zip-parts.js';

/**
 * The archive against PKWARE's APPNOTE 6.3.4 (section numbers beside each check) and against the practice for
 * reproducible archives (reproducible-builds.org: sorted entries, one fixed time, one mode, nothing of the machine).
 */
let folder = '';
let zip: Buffer;
let parts: ZipPart[];
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-zip-'));
  const text = Buffer.from('scene one\n'.repeat(100));
  await writeBundle(join(folder, 'b.zip'), {
    name: 'SHN04',
    day: '2026-11-20',
    info: [],
    files: [
      { path: 'press/p07.tif', source: { bytes: text } },
      { path: 'proofs/é.png', source: { bytes: text } },
      { path: 'notes.txt', source: { bytes: text } },
      { path: 'empty.txt', source: { bytes: Buffer.alloc(0) } },
    ],
  });
  zip = await readFile(join(folder, 'b.zip'));
  parts = readZip(zip);
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

describe('the archive of a bundle', () => {
  it('ends with exactly one end record and no comment (4.3.1, 4.3.16)', () => {
    expect(zip.lastIndexOf(Buffer.from('PK\x05\x06', 'latin1'))).toBe(zip.length - 22);
    expect(zip.readUInt16LE(zip.length - 2)).toBe(0);
    expect(zip.readUInt32LE(0)).toBe(0x04034b50);
  });

  it('dates every entry at the midnight that the day of delivery begins with (4.4.6)', () => {
    // MS-DOS form: years since 1980 from bit 9 on, the month from bit 5 on, the day.
    const day = ((2026 - 1980) << 9) | (11 << 5) | 20;
    for (const { name, date, time } of parts) expect([name, date, time]).toEqual([name, day, 0]);
  });

  it('gives every entry the mode of a plain file that all may read', () => {
    for (const { name, mode } of parts) expect([name, mode]).toEqual([name, 0o100644]);
  });

  it('sorts its entries by their bytes', () => {
    const names = parts.map((part) => Buffer.from(part.name));
    expect([...names].sort(Buffer.compare).map(String)).toEqual(names.map(String));
  });

  it('marks names outside ASCII as UTF-8 (4.4.4)', () => {
    expect(parts.find((part) => part.name.endsWith('é.png'))?.flags).toBe(0x0800);
  });

  it('writes only names with forward slashes, without a drive or a leading slash (4.4.17.1)', () => {
    for (const { name } of parts) expect(name).toMatch(/^SHN04\/[^\\:]+$/);
  });

  it('states CRC and length of stored entries in their local header, so that a stream can be read (4.4.4, 4.3.9)', () => {
    const stored = parts.filter((part) => part.method === 0);
    expect(stored.map((part) => part.name.split('/').pop()).sort()).toEqual([
      'empty.txt',
      'p07.tif',
      'é.png',
    ]);
    for (const { name, flags } of stored) expect([name, flags & 0x0008]).toEqual([name, 0]);
  });

  it('uses stored and deflated only (4.4.5)', () => {
    expect(new Set(parts.map((part) => part.method))).toEqual(new Set([0, 8]));
    for (const { method, versionNeeded } of parts) if (method === 8) expect(versionNeeded).toBe(20);
  });
});

describe('an entry too large to be held in one piece', () => {
  it('is streamed from its file and summed on the way', async () => {
    const source = join(folder, 'abc.tif');
    await writeFile(source, 'abc');
    const writer = await openZipWriter(join(folder, 's.zip'), 's.zip', '2026-11-20');
    // FIPS 180-4, example message "abc".
    expect(await writer.addFile('SHN04/abc.tif', source)).toEqual({
      bytes: 3,
      sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    });
    const whole = await writer.finish();
    const streamed = await readFile(join(folder, 's.zip'));
    expect(whole.bytes).toBe(streamed.length);
    expect(readZip(streamed).map((part) => [part.name, part.data.toString(), part.method])).toEqual([
      ['SHN04/abc.tif', 'abc', 0],
    ]);
  });

  it('fails at once when its file is gone, instead of waiting for ever', async () => {
    const writer = await openZipWriter(join(folder, 'gone.zip'), 'gone.zip', '2026-11-20');
    await expect(writer.addFile('a.tif', join(folder, 'gone.tif'))).rejects.toMatchObject({
      code: 'bundle-failed',
    });
    await writer.abandon();
  });
});
