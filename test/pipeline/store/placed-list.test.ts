import { appendFile, mkdir, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type FilesOfPage, notePlaced, placedPages } from '../../../pipeline/store/placed-list.js';

let folder: string;
let path: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'placed-'));
  path = join(folder, '.platehand', 'placed.jsonl');
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const files = (name: string, bytes = 1): FilesOfPage => ({ [name]: { sha256: name, bytes, mtimeMs: 5 } });
const pages = async () => Object.fromEntries(await placedPages(folder));
const linesIn = async () => (await readFile(path, 'utf8')).trim().split('\n').length;

describe('the list of placed files', () => {
  test('holds the last that was said of each page', async () => {
    expect(await pages()).toEqual({});
    await notePlaced(folder, '1', files('press/a.tif'));
    await notePlaced(folder, '2', files('press/b.tif'));
    await notePlaced(folder, '1', files('press/a.tif', 9));
    await notePlaced(folder, '2', undefined);
    expect(await pages()).toEqual({ 1: files('press/a.tif', 9) });
  });

  test('costs a page the same however many there are', async () => {
    for (let page = 0; page < 200; page++) await notePlaced(folder, `${page}`, files(`press/${page}.tif`));
    const { size } = await stat(path);
    await notePlaced(folder, '100', files('press/100.tif', 2));
    expect((await stat(path)).size - size).toBeLessThan(200);
    expect(Object.keys(await pages())).toHaveLength(200);
  });

  test('takes in what another process has added since', async () => {
    await notePlaced(folder, '1', files('press/a.tif'));
    expect(Object.keys(await pages())).toEqual(['1']);
    await appendFile(path, `${JSON.stringify({ page: '2', files: files('press/b.tif') })}\n`);
    expect(Object.keys(await pages())).toEqual(['1', '2']);
  });

  test('loses nothing but the line that a crash has torn', async () => {
    await notePlaced(folder, '1', files('press/a.tif'));
    await appendFile(path, '{"page":"2","files":{"pre');
    expect(Object.keys(await pages())).toEqual(['1']);
    await notePlaced(folder, '3', files('press/c.tif'));
    expect(Object.keys(await pages())).toEqual(['1', '3']);
  });

  test('is another one where it was taken away, or put in place of the first', async () => {
    await notePlaced(folder, '1', files('press/a.tif'));
    await pages();
    await rm(path);
    expect(await pages()).toEqual({});
    await writeFile(
      path,
      `${JSON.stringify({ page: '7', files: files('press/seven of another name.tif') })}\n`,
    );
    expect(Object.keys(await pages())).toEqual(['7']);
  });

  test('is written anew before it grows without end', async () => {
    for (let time = 0; time < 700; time++) await notePlaced(folder, '1', files('press/a.tif', time));
    expect(await linesIn()).toBeLessThan(650);
    expect(await pages()).toEqual({ 1: files('press/a.tif', 699) });
  });

  test('takes over what stood in one object before', async () => {
    const former = join(folder, '.platehand', 'placed.json');
    await mkdir(join(folder, '.platehand'));
    await writeFile(former, JSON.stringify({ 1: files('press/a.tif'), 2: files('press/b.tif') }));
    await notePlaced(folder, '2', files('press/b.tif', 2));
    expect(await pages()).toEqual({ 1: files('press/a.tif'), 2: files('press/b.tif', 2) });
    await expect(stat(former)).rejects.toThrow('ENOENT');
  });
});
