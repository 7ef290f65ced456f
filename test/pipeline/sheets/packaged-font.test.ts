import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { fontPath, packagedFont } from '../../../pipeline/sheets/packaged-font.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-font-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const refusal = expect.objectContaining({
  code: 'installation-broken',
  message: expect.stringContaining('DejaVuSansCondensed.ttf, is missing or damaged'),
});

test('a font that is not there is told as a broken installation', () => {
  expect(() => packagedFont('regular', () => join(folder, 'none.ttf'))).toThrow(refusal);
});

test.each([
  ['cut short', (font: Buffer) => font.subarray(0, 2000)],
  ['of other bytes', () => Buffer.from('no font at all')],
  ['empty', () => Buffer.alloc(0)],
])('a font that is %s is told as a broken installation', async (_, damaged) => {
  const path = join(folder, 'damaged.ttf');
  await writeFile(path, damaged(await readFile(fontPath('regular'))));
  expect(() => packagedFont('regular', () => path)).toThrow(refusal);
});

test('both weights of the package are sound', () => {
  for (const weight of ['regular', 'bold'] as const)
    expect(packagedFont(weight).font.charToGlyphIndex('A')).toBeGreaterThan(0);
});
