import { mkdtemp, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { loadJob } from '../../config/load-job.js';
import type { Reconciliation } from '../../pipeline/model/reconciliation.js';
import { listIncoming } from '../../pipeline/names/incoming.js';
import { reconcile } from '../../pipeline/reconcile.js';
import { drawProblemIssue } from '../../sample-job/draw-problems.js';

let folder = '';
let outcome: Reconciliation;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sample-problems-'));
  // What these tests look at is drawn in full, the rest in small.
  await drawProblemIssue(folder, { share: 0.1 });
  outcome = reconcile(await loadJob(folder), (await listIncoming(join(folder, 'incoming'))).files);
});

afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

function incoming(name: string): string {
  return join(folder, 'incoming', name);
}

test('page 4 is there twice, page 7 not at all, of 14 only line and flats, the others have all they need', () => {
  expect(Object.fromEntries(outcome.pages.map(({ page, state }) => [page, state]))).toEqual({
    1: 'ready',
    2: 'ready',
    3: 'ready',
    4: 'contested',
    5: 'ready',
    6: 'ready',
    7: 'missing',
    ...Object.fromEntries(
      ['8', '9', '10', '11', '12-13', '15', '16', '17', '18', '19'].map((id) => [id, 'ready']),
    ),
    14: 'waiting',
  });
});

test('a page that the issue does not have, a sketch and somebody’s notes are left out', () => {
  const leftOut = [...outcome.unknown, ...outcome.passedOver].map(({ name }) => name);
  expect(leftOut.sort()).toEqual(['BRL03_p23.png', 'heron sketch.png', 'notes for the letterer.txt']);
});

test('page 2 is half as large as its print size asks', async () => {
  const { width, density } = await sharp(incoming('BRL03_p02 final.png')).metadata();
  expect({ width, density }).toEqual({ width: 1031, density: 150 });
});

test('the art of page 3 ends at the trim: the bleed is white', async () => {
  const { data, info } = await sharp(incoming('BRL03_p03.png')).raw().toBuffer({ resolveWithObject: true });
  const edge = data.subarray(0, info.width * info.channels * 30);
  expect(edge.every((value) => value === 255)).toBe(true);
  const inside = data.subarray(info.width * info.channels * 40, info.width * info.channels * 41);
  expect(inside.every((value) => value === 255)).toBe(false);
});

test('page 5 has the wrong shape', async () => {
  const { width, height } = await sharp(incoming('BRL03_p05.png')).metadata();
  expect(height / width).toBeLessThan(1.3);
});

test('the colour of page 6 is cut short: its pixels cannot all be read', async () => {
  expect((await stat(incoming('BRL03_p06_colour.tif'))).size).toBeGreaterThan(100_000);
  await expect(sharp(incoming('BRL03_p06_colour.tif')).raw().toBuffer()).rejects.toThrow();
});
