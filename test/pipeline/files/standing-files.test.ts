import { execFileSync } from 'node:child_process';
import { mkdir, mkdtemp, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import {
  isAsWritten,
  standingFiles,
  standingNames,
  standingText,
} from '../../../pipeline/files/standing-files.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'standing-'));
  await writeFile(join(folder, 'ink.tif'), 'ink');
  await writeFile(join(folder, 'täglich.tif'), '');
  await mkdir(join(folder, 'plates'));
});
afterAll(() => rm(folder, { recursive: true }));

/** More than are asked for without a thread. */
const many = 2500;

test('files stand as they were written until somebody writes to them or takes them away', async () => {
  const ink = join(folder, 'ink.tif');
  const { size, mtimeMs } = await stat(ink);
  const then = { bytes: size, mtimeMs };
  expect(isAsWritten((await standingFiles(folder, ['ink.tif']))[0], then)).toBe(true);
  expect(isAsWritten((await standingFiles(folder, ['none.tif']))[0], then)).toBe(false);
  await utimes(ink, 1, 1);
  expect(isAsWritten((await standingFiles(folder, ['ink.tif']))[0], then)).toBe(false);
});

test('texts and names are told alike by a thread, and nothing of what is no file or folder of ours', async () => {
  const own = join(folder, 'own');
  await mkdir(own);
  await writeFile(join(own, 'result.json'), '{"title":"Tägliche Seiten"}');
  execFileSync('mkfifo', [join(own, 'pipe')]);
  const ask = () =>
    Promise.all([
      ...['result.json', 'none.json', 'pipe', '.'].map((name) => standingText(join(own, name))),
      ...['own', 'own/result.json', 'none'].map(
        async (name) => (await standingNames(join(folder, name))).length,
      ),
    ]);
  const told = await ask();
  expect(told).toEqual(['{"title":"Tägliche Seiten"}', undefined, undefined, undefined, 2, 0, 0]);
  await standingFiles(folder, new Array<string>(many).fill('own'));
  // From here on a thread answers.
  expect(await ask()).toEqual(told);
});

test('thousands of files are told as one is, in their order', async () => {
  const names = ['ink.tif', 'none.tif', 'täglich.tif', 'plates', 'ink.tif/below'];
  const few = await standingFiles(folder, names);
  expect(few.map((facts) => facts?.bytes)).toEqual([3, undefined, 0, few[3]?.bytes, undefined]);
  const asked = Array.from({ length: many }, (_, at) => names[at % names.length]);
  const all = await standingFiles(folder, asked);
  expect(all).toEqual(asked.map((_, at) => few[at % names.length]));
  const [some, others] = await Promise.all([
    standingFiles(folder, names.slice(0, 2)),
    standingFiles(folder, names.slice(2, 4)),
  ]);
  expect([...some, ...others]).toEqual(few.slice(0, 4));
  expect(await standingFiles(folder, [])).toEqual([]);
});
