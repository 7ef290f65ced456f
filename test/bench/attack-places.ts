import { execFileSync, spawnSync } from 'node:child_process';
import { cp, mkdir, readdir, rm, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { AttackedIssue } from './attack-issue.js';
import { colourVariant } from './watched-issue.js';

/** What may lie in incoming/ that is no page, and disks that take nothing more. */

const runLimitMs = 90_000;

export function makePipe(path: string): void {
  execFileSync('mkfifo', [path]);
}

const bytesName = (folder: string, bytes: readonly number[]) =>
  Buffer.concat([Buffer.from(`${folder}/`), Buffer.from(bytes)]);
const page = () => colourVariant(3);
const named = (name: string) => async (folder: string) => writeFile(join(folder, name), await page());

/** Things by what they are; each is put into incoming/. */
export const things: Readonly<Record<string, (incoming: string) => Promise<unknown>>> = {
  'a pipe': async (folder) => makePipe(join(folder, 'p3.tif')),
  'a link to a device': (folder) => symlink('/dev/zero', join(folder, 'p3.png')),
  'a link to itself': (folder) => symlink('p3.tif', join(folder, 'p3.tif')),
  'a link to nothing': (folder) => symlink('nowhere.tif', join(folder, 'p3.tif')),
  'a link that leads out': (folder) => symlink('../../outside/page.tif', join(folder, 'p3.tif')),
  'a link to a folder above': (folder) => symlink('..', join(folder, 'p3')),
  'a folder named like a page': (folder) => mkdir(join(folder, 'p3.tif')),
  'a hundred folders deep': (folder) =>
    mkdir(join(folder, ...new Array<string>(100).fill('d')), { recursive: true }),
  'a name that is no text': async (folder) =>
    writeFile(bytesName(folder, [0x70, 0x33, 0xe4, 0xff, 0x2e, 0x74, 0x69, 0x66]), await page()),
  'a folder whose name is no text': (folder) => mkdir(bytesName(folder, [0x66, 0xe4])),
  'a name of 255 bytes': named(`p3 ${'n'.repeat(248)}.tif`),
  'a name of 255 bytes in three-byte letters': named(`${'\u9801'.repeat(83)}3.tif`),
  'a name that a terminal obeys': named('p3 \u001b]0;x\u0007\u001b[2J.tif'),
  'a name that is obeyed in C1': named('p3 \u009b31m\u0085.tif'),
  'a name that turns direction': named('p3 \u202egnp.tif'),
  'a name of two lines': named('p3\n  done\r.tif'),
  'a name like an option': named('--help p3.tif'),
  'a name of dots': named('.. p3 ...tif'),
  'a device of Windows': named('CON p3.tif'),
  'a name like code': named('p3 $(touch x) `x` %s {{x}} <b>.tif'),
  'a prototype': named('__proto__ p3.tif'),
  'an empty file': (folder) => writeFile(join(folder, 'p3.tif'), ''),
  'a thousand unknown files': async (folder) => {
    for (let i = 0; i < 1000; i++) await writeFile(join(folder, `unknown ${i}.tif`), 'x');
  },
};

/** Puts a thing into incoming/, runs the issue, asks where it stands, and delivers what there is. */
export async function thing(issue: AttackedIssue, name: string): Promise<void> {
  await things[name](issue.incoming);
  await issue.keepingInputs(async () => {
    const { output } = await issue.platehand(runLimitMs, 'run', '--jobs', '1');
    // A file that nobody hears of is a page that is lost.
    if (name.includes('no text') && !output.includes('\\xe4')) issue.faults.lost.push(`${name} is not told`);
    await issue.platehand(runLimitMs, 'status');
    await issue.platehand(runLimitMs, 'check', '--json');
    await issue.platehand(runLimitMs, 'deliver', '--partial', '--reason', name);
  });
  await issue.check();
}

/** Disks by what they lack, with the options that make them so; the issue takes some 2 MB and a hundred files. */
export const disks: Readonly<Record<string, readonly [full: string, mended: string]>> = {
  'no room': ['size=%dk', 'size=64m'],
  'no inodes': ['size=64m,nr_inodes=%d', 'nr_inodes=100k'],
  'read only': ['size=64m', 'rw'],
};

/** Room in KB and inodes that the full disks have, from hardly any on. */
const room = { 'no room': [200, 2500], 'no inodes': [12, 60], 'read only': [0, 0] } as const;

/** Why disks cannot be tried here; undefined where they can. */
export function noDisks(): string | undefined {
  if (process.platform !== 'linux' || process.getuid?.() !== 0)
    return 'disks are mounted by root on Linux only';
  return spawnSync('unshare', ['-m', 'true']).status === 0 ? undefined : 'nothing can be mounted here';
}

/** Runs the issue on a disk that fails it, and again once the disk is mended: then all is as if it had never been. */
export async function disk(
  issue: AttackedIssue,
  name: keyof typeof room,
  random: () => number,
): Promise<void> {
  const [least, most] = room[name];
  const amount = Math.round(least + random() * (most - least));
  const [full, mended] = disks[name];
  const aside = join(issue.base, 'tmp', 'aside');
  await cp(issue.folder, aside, { recursive: true, preserveTimestamps: true });
  mount('-t', 'tmpfs', '-o', full.replace('%d', `${amount}`), 'tmpfs', issue.folder);
  try {
    // What does not fit is not there yet; what people dropped has room at least.
    await cp(aside, issue.folder, { recursive: true, preserveTimestamps: true }).catch(() => undefined);
    const arrived =
      (await readdir(issue.incoming).catch(() => [])).length ===
      (await readdir(join(aside, 'incoming'))).length;
    if (name === 'read only') mount('-o', 'remount,ro', issue.folder);
    for (const command of ['run', 'status', 'check']) await issue.platehand(runLimitMs, command);
    await issue.platehand(runLimitMs, 'deliver', '--partial', '--reason', 'full');
    await issue.checkWhole();
    mount('-o', `remount,${mended}`, issue.folder);
    if (!arrived) await cp(aside, issue.folder, { recursive: true, preserveTimestamps: true });
    await issue.keepingInputs(() => issue.platehand(runLimitMs, 'run', '--jobs', '1'));
    await issue.check();
  } finally {
    execFileSync('umount', ['-l', issue.folder]);
    await rm(aside, { recursive: true, force: true });
  }
}

function mount(...words: readonly string[]): void {
  execFileSync('mount', [...words]);
}
