import { mkdir, mkdtemp, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { isAsWritten, standingFiles } from '../../../pipeline/files/standing-files.js';

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
  expect(isAsWritten((await standingFiles([ink]))[0], then)).toBe(true);
  expect(isAsWritten((await standingFiles([join(folder, 'none.tif')]))[0], then)).toBe(false);
  await utimes(ink, 1, 1);
  expect(isAsWritten((await standingFiles([ink]))[0], then)).toBe(false);
});

test('thousands of files are told as one is, in their order', async () => {
  const names = ['ink.tif', 'none.tif', 'täglich.tif', 'plates', 'ink.tif/below'];
  const few = await standingFiles(names.map((name) => join(folder, name)));
  expect(few.map((facts) => facts?.bytes)).toEqual([3, undefined, 0, few[3]?.bytes, undefined]);
  const paths = Array.from({ length: many }, (_, at) => join(folder, names[at % names.length]));
  const all = await standingFiles(paths);
  expect(all).toEqual(paths.map((_, at) => few[at % names.length]));
  const [some, others] = await Promise.all([
    standingFiles(paths.slice(0, 2)),
    standingFiles(paths.slice(2, 4)),
  ]);
  expect([...some, ...others]).toEqual(few.slice(0, 4));
  expect(await standingFiles([])).toEqual([]);
});
