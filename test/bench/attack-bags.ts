import { mkdir, readdir, readFile, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { bag, manifest, withTagManifest, writeBag } from '../helpers/bags.js';
import { damagedCopies } from '../helpers/damage.js';
import { type MadeEntry, makeZip } from '../helpers/zip-parts.js';
import type { AttackedIssue } from './attack-issue.js';
import { makePipe } from './attack-places.js';

/** Bags and archives that no honest sender makes; each has to be refused, in plain words and in time. */

const verifyLimitMs = 40_000;
const pages = { 'data/press/p07.tif': 'page seven', 'data/press/p08.tif': 'page eight' };
const parts = withTagManifest(bag(pages));
const sound: readonly MadeEntry[] = Object.entries(parts).map(([path, data]) => ({
  name: `B/${path}`,
  data: Buffer.from(data),
}));
const withEntry = (entry: Partial<MadeEntry> & { readonly name: string }) =>
  makeZip([...sound, { data: Buffer.from('x'), ...entry }]);
/** The sound bag with its first page told otherwise. */
const lying = (lie: Partial<MadeEntry>) =>
  makeZip(sound.map((entry) => (entry.name.endsWith('p07.tif') ? { ...entry, ...lie } : entry)));

/** End record of a sound archive with some of its numbers replaced. */
function endRecord(change: (end: Buffer) => void): Buffer {
  const zip = Buffer.from(makeZip(sound));
  change(zip.subarray(zip.length - 22));
  return zip;
}

/** A ZIP64 end record and locator (APPNOTE 6.3.4, 4.3.14 and 4.3.15) that claim anything. */
function zip64(entries: bigint, directoryBytes: bigint, directoryAt: bigint, recordAt?: bigint): Buffer {
  const zip = Buffer.from(makeZip(sound));
  const end = zip.subarray(zip.length - 22);
  end.fill(0xff, 8, 20);
  const record = Buffer.alloc(56);
  record.writeUInt32LE(0x06064b50, 0);
  record.writeBigUInt64LE(44n, 4);
  record.writeBigUInt64LE(entries, 24);
  record.writeBigUInt64LE(entries, 32);
  record.writeBigUInt64LE(directoryBytes, 40);
  record.writeBigUInt64LE(directoryAt, 48);
  const locator = Buffer.alloc(20);
  locator.writeUInt32LE(0x07064b50, 0);
  locator.writeBigUInt64LE(recordAt ?? BigInt(zip.length - 22), 8);
  locator.writeUInt32LE(1, 16);
  return Buffer.concat([zip.subarray(0, zip.length - 22), record, locator, end]);
}

const withManifest = (text: string) =>
  makeZip([
    ...sound.filter(({ name }) => !name.includes('manifest')),
    { name: 'B/manifest-sha512.txt', data: Buffer.from(text) },
  ]);
const sum = 'a'.repeat(128);

/** Archives by what is hostile about them. */
export const archives: Readonly<Record<string, () => Buffer>> = {
  'a path that leads out': () => withEntry({ name: 'B/data/../../../outside/page.tif' }),
  'a path from the root': () => withEntry({ name: '/outside/page.tif' }),
  'a path of Windows': () => withEntry({ name: 'B\\data\\..\\..\\x.tif' }),
  'a drive of Windows': () => withEntry({ name: 'C:/x.tif' }),
  'an entry twice': () => makeZip([...sound, sound[sound.length - 1]]),
  'a file and a folder of one name': () => withEntry({ name: 'B/data/press/p07.tif/x' }),
  'a link': () => withEntry({ name: 'B/data/link', mode: 0o120777, data: Buffer.from('../../outside') }),
  'a pipe': () => withEntry({ name: 'B/data/pipe', mode: 0o010644 }),
  'another size than it has': () => lying({ size: 4_000_000_000 }),
  'less than it has': () => lying({ size: 1 }),
  'a wrong CRC': () => lying({ crc: 1 }),
  'two names of one entry': () => lying({ localName: 'B/data/press/p09.tif' }),
  encrypted: () => lying({ flags: 0x0801 }),
  'a method that is unknown': () => lying({ method: 99 }),
  'deflated rubbish': () => lying({ method: 8 }),
  'a name with a NUL': () => withEntry({ name: 'B/data/a\0b' }),
  'a name that a terminal obeys': () => withEntry({ name: 'B/data/\u001b]0;x\u0007\u009b31m\u202etif' }),
  'a name of 60000 bytes': () => withEntry({ name: `B/data/${'n'.repeat(60_000)}` }),
  'a thousand folders deep': () => withEntry({ name: `B/data/${'d/'.repeat(1000)}x` }),
  'no entries': () => makeZip([]),
  'no more than an end': () => makeZip(sound).subarray(-22),
  '65535 entries that are not there': () => endRecord((end) => end.writeUInt32LE(0xffffffff, 8)),
  'a directory behind the end': () => endRecord((end) => end.writeUInt32LE(0x7fffffff, 16)),
  'a comment that is not there': () => endRecord((end) => end.writeUInt16LE(0xffff, 20)),
  'zip64 of a trillion entries': () => zip64(1_000_000_000_000n, 1n, 0n),
  'zip64 beyond all numbers': () => zip64(2n ** 64n - 1n, 2n ** 64n - 1n, 2n ** 64n - 1n),
  'zip64 whose record is nowhere': () => zip64(1n, 1n, 1n, 2n ** 63n),
  'a manifest that leads out': () => withManifest(`${sum}  data/../../outside/page.tif\n`),
  'a manifest of 100000 bad lines': () => withManifest('not a line\n'.repeat(100_000)),
  'a manifest of 100000 files that are missing': () =>
    withManifest(Array.from({ length: 100_000 }, (_, i) => `${sum}  data/${i}\n`).join('')),
  'a manifest of one endless line': () => withManifest(`${sum}  data/${'%0A'.repeat(1_000_000)}`),
  'a manifest that a terminal obeys': () => withManifest(`${sum}  data/\u001b[2J\u0085\u2066x\n`),
  '30000 entries': () =>
    makeZip([
      ...sound,
      ...Array.from({ length: 30_000 }, (_, i) => ({ name: `B/data/${i}`, data: Buffer.alloc(0) })),
    ]),
  'a declaration that is no text': () => makeZip([{ name: 'B/bagit.txt', data: Buffer.alloc(1000, 0xff) }]),
  'a declaration of 50 MB': () => makeZip([{ name: 'B/bagit.txt', data: Buffer.alloc(50e6, 'x: y\n') }]),
};

/** Asks for one archive; whatever it is, it is no valid bag. */
export async function archive(issue: AttackedIssue, name: string): Promise<void> {
  const path = join(issue.base, 'job', 'hostile.zip');
  await writeFile(path, archives[name]());
  for (const more of [[], ['--json']]) await refused(issue, path, more);
  await issue.check(false);
}

async function refused(issue: AttackedIssue, path: string, more: readonly string[]): Promise<void> {
  const { code, hung } = await issue.command(verifyLimitMs, ['verify', path, ...more]);
  if (!hung && code === 0) issue.faults.damaged.push('verify calls it valid');
}

/** Bags that lie in folders, by what is hostile about them; each is made in an empty folder. */
export const folders: Readonly<Record<string, (folder: string) => Promise<void>>> = {
  'a link that leads out': async (folder) => {
    await writeBag(folder, parts);
    await symlink('../../outside', join(folder, 'data', 'out'));
  },
  'a link to itself': async (folder) => {
    await writeBag(folder, parts);
    await symlink('.', join(folder, 'data', 'self'));
  },
  'a pipe as page': async (folder) => {
    const { 'data/press/p08.tif': _, ...others } = parts;
    await writeBag(folder, others);
    makePipe(join(folder, 'data', 'press', 'p08.tif'));
  },
  'a device as manifest': async (folder) => {
    const { 'manifest-sha512.txt': _, ...others } = parts;
    await writeBag(folder, others);
    await symlink('/dev/zero', join(folder, 'manifest-sha512.txt'));
  },
  'a pipe as declaration': async (folder) => {
    await mkdir(folder, { recursive: true });
    makePipe(join(folder, 'bagit.txt'));
  },
  'a manifest of what lies outside': async (folder) => {
    const lines = manifest('sha512', { 'data/../../../outside/page.tif': 'not to be touched' });
    await writeBag(folder, { ...parts, 'manifest-sha512.txt': lines });
  },
  'a name that is no text': async (folder) => {
    await writeBag(folder, parts);
    await writeFile(Buffer.concat([Buffer.from(join(folder, 'data', 'f')), Buffer.from([0xe4, 0x9b])]), 'x');
  },
};

export async function bagFolder(issue: AttackedIssue, name: string): Promise<void> {
  const path = join(issue.folder, 'hostile');
  await folders[name](path);
  await refused(issue, path, []);
  await issue.check(false);
}

/** Damaged copies of a bundle that was delivered; where one passes, its payload is what was sent. */
export async function damagedBundles(issue: AttackedIssue, count: number, seed: number): Promise<void> {
  await issue.platehand(90_000, 'deliver', '--partial', '--reason', 'two pages', '--date', '2026-11-20');
  const [name] = (await readdir(join(issue.folder, 'delivery'))).filter((one) => one.endsWith('.zip'));
  const bundle = await readFile(join(issue.folder, 'delivery', name));
  const path = join(issue.folder, 'copy.zip');
  for (const { bytes, cut } of damagedCopies([bundle], 'zip', count, seed)) {
    await writeFile(path, bytes);
    const { code } = await issue.command(verifyLimitMs, ['verify', path]);
    if (cut && code === 0) issue.faults.damaged.push('verify calls a bundle valid that is cut short');
  }
  await issue.check();
}
