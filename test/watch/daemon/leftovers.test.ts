import { spawnSync } from 'node:child_process';
import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { ownerTag } from '../../../pipeline/files/owner.js';
import { findLeftovers, removeLeftovers } from '../../../watch/daemon/leftovers.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'leftovers-'));
  const rooms = ['press', 'incoming', '.platehand/results/QRY02_1'];
  for (const room of rooms) await mkdir(join(folder, room), { recursive: true });
});
afterEach(() => rm(folder, { recursive: true }));

test('what a process that has ended left unfinished goes; everything else stays', async () => {
  const ended = spawnSync(process.execPath, ['-e', '']).pid;
  const machine = ownerTag.split('-')[0];
  const key = 'a'.repeat(64);
  const results = join(folder, '.platehand', 'results', 'QRY02_1');
  await mkdir(join(results, `.${key}.${machine}-${ended}.1.part`));
  await mkdir(join(results, `.${key}.${machine}-${process.ppid}.1.part`));
  await mkdir(join(results, key));
  await writeFile(join(folder, 'press', `.QRY02_1.tif.${machine}-${ended}.0123456789ab.part`), 'half');
  await writeFile(join(folder, 'press', 'QRY02_1.tif'), 'whole');
  // Of another machine's work nobody here can tell whether it goes on.
  await mkdir(join(results, `.${key}.abcdef-${ended}.1.part`));
  await writeFile(join(folder, 'press', '.my.part'), "somebody's own");
  await writeFile(
    join(folder, 'incoming', `.p01.tif.${machine}-${ended}.0123456789ab.part`),
    "somebody's own",
  );
  expect(await removeLeftovers(await findLeftovers(folder))).toBe(2);
  expect((await readdir(results)).sort()).toEqual(
    [`.${key}.${machine}-${process.ppid}.1.part`, `.${key}.abcdef-${ended}.1.part`, key].sort(),
  );
  expect((await readdir(join(folder, 'press'))).sort()).toEqual(['.my.part', 'QRY02_1.tif']);
  expect(await readdir(join(folder, 'incoming'))).toHaveLength(1);
});
