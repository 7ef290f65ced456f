import { createHash } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { loadJob } from '../../config/load-job.js';
import { bleedBoxPx } from '../../config/print-spec.js';
import { listIncoming } from '../../pipeline/names/incoming.js';
import { reconcile } from '../../pipeline/reconcile.js';
import { drawSampleIssue, drawSheet, writePageFiles } from '../../sample-job/draw-issue.js';
import { rimPicture, softPicture } from '../../sample-job/ink/compose.js';
import { paper, type Sheet } from '../../sample-job/ink/sheet.js';
import { samplePages } from '../../sample-job/issue-pages.js';
import { flatPicture } from '../../sample-job/write-picture.js';

/** A twelfth of print resolution: the same code draws the same picture, only quickly. */
const ppi = 48;

let folder = '';
const drawn: string[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sample-issue-'));
  await drawSampleIssue(folder, { ppi, onPage: (name) => drawn.push(name) });
});

afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

function incoming(name: string): string {
  return join(folder, 'incoming', name);
}

test('the sample issue gives every page that its job.yaml owes', async () => {
  const job = await loadJob(folder);
  const { files } = await listIncoming(join(folder, 'incoming'));
  const outcome = reconcile(job, files);
  expect(outcome.pages.map(({ page, state }) => `${page} ${state}`)).toEqual(
    ['cover', '1', '2', '3', '4', '5', '6-7', '8', '9', '10', '11', '12', '13', 'bookplate'].map(
      (page) => `${page} ready`,
    ),
  );
  expect(outcome.contested).toEqual([]);
  expect(outcome.unknown).toEqual([]);
  expect(outcome.superseded.map(({ name }) => name)).toEqual(['BRL03_p02_line_v1.tif']);
});

test('every page is told once it is written', () => {
  expect([...drawn].sort()).toEqual(samplePages.map(({ id }) => id).sort());
});

test('every flat file has trim plus bleed in pixels, and states its resolution', async () => {
  const job = await loadJob(folder);
  for (const page of samplePages) {
    const spec = job.pages.find(({ id }) => id === page.id)?.spec;
    if (spec === undefined) throw new Error(`job.yaml lacks page ${page.id}`);
    const size = bleedBoxPx(spec, ppi);
    for (const { name, content } of page.files) {
      if (content === 'layers') continue;
      const { width, height, density } = await sharp(incoming(name)).metadata();
      expect({ name, width, height, density }).toEqual({ name, ...size, density: ppi });
    }
  }
});

test('at print resolution an interior is 4125 x 6300 pixels and the spread 8100 x 6300', () => {
  const sizes = samplePages.map(({ id, width, height }) => `${id} ${width * 6} x ${height * 6}`);
  expect(sizes).toContain('1 4125 x 6300');
  expect(sizes).toContain('6-7 8100 x 6300');
});

test('line files are 1 bit, the colour of page 5 is 16 bit, other colour is 8 bit, and all colour is tagged, grey is not', async () => {
  for (const { files } of samplePages) {
    for (const { name, content } of files) {
      if (content === 'layers') continue;
      const { bitsPerSample, depth, icc } = await sharp(incoming(name)).metadata();
      if (content === 'line' || content === 'lettered-line' || content === 'varnish') {
        expect({ name, bitsPerSample, tagged: icc !== undefined }).toEqual({
          name,
          bitsPerSample: 1,
          tagged: false,
        });
      } else {
        expect({ name, depth }).toEqual({ name, depth: content === 'colour-16' ? 'ushort' : 'uchar' });
        if (content === 'grey') expect(icc, name).toBeUndefined();
        else expect(icc, name).toBeDefined();
      }
    }
  }
});

test('the lettering file is balloons on nothing', async () => {
  const { channels, isOpaque } = await sharp(incoming('BRL03_p08_lettering.png'))
    .stats()
    .then((stats) => ({
      channels: stats.channels,
      isOpaque: stats.isOpaque,
    }));
  expect(channels).toHaveLength(4);
  expect(isOpaque).toBe(false);
  // Two balloons, a caption and a noise: some of the page, not most of it.
  expect(channels[3].mean / 255).toBeGreaterThan(0.01);
  expect(channels[3].mean / 255).toBeLessThan(0.25);
});

/** The page that is a painting and has no line. */
const painted = '12';

test('every page but the painted one has ink and paper in its line, and more than one tone in its colour', async () => {
  for (const page of samplePages) {
    if (page.id === painted) continue;
    const sheet = drawSheet(page, 24);
    const black = sheet.ink.reduce((sum, value) => sum + (value === 0 ? 1 : 0), 0) / sheet.ink.length;
    expect(black, page.id).toBeGreaterThan(0.01);
    expect(black, page.id).toBeLessThan(0.6);
    expect(new Set(sheet.flats).size, page.id).toBeGreaterThan(12);
  }
});

test('the painted page has no ink, and its dark places are colour close to black, never black', async () => {
  const sheet = drawnAt(24, painted);
  expect(sheet.ink.every((value) => value === paper)).toBe(true);
  const { data } = flatPicture(sheet);
  const tones = new Set<number>();
  let dark = 0;
  for (let at = 0; at < data.length; at += 3) {
    const [r, g, b] = data.subarray(at, at + 3);
    tones.add((r << 16) | (g << 8) | b);
    if (Math.max(r, g, b) < 40) dark++;
    // What is darkest still leans to blue, as no ink does.
    if (Math.max(r, g, b) < 40) expect(b, `${r} ${g} ${b}`).toBeGreaterThan(Math.min(r, g));
  }
  expect(tones.size).toBeGreaterThan(1000);
  expect(dark / (data.length / 3)).toBeGreaterThan(0.1);
});

test('the light of page 11 crosses its solid blacks and fades to nothing within them', async () => {
  const sheet = drawnAt(96, '11');
  const lights = [softPicture(sheet, 'glow'), softPicture(sheet, 'sparks')];
  const onInk = (light: Uint8Array): number[] =>
    Array.from(sheet.ink, (value, at) => (value === 0 ? light[at * 3] : -1)).filter((level) => level >= 0);
  for (const light of lights) {
    const levels = onInk(light);
    expect(largest(levels)).toBeGreaterThan(100);
    expect(levels.filter((level) => level === 0).length / levels.length).toBeGreaterThan(0.3);
    // On the way out every level is met: no border at which the light ends.
    for (let level = 1; level < 60; level++) expect(levels, `level ${level}`).toContain(level);
  }
  const rims = rimPicture(sheet);
  const alphaOnInk = Array.from(sheet.ink, (value, at) => (value === 0 ? rims[at * 4 + 3] : 0));
  expect(largest(alphaOnInk)).toBeGreaterThan(40);
});

function largest(values: readonly number[]): number {
  return values.reduce((most, value) => Math.max(most, value), 0);
}

function drawnAt(resolution: number, id: string): Sheet {
  const page = samplePages.find((known) => known.id === id);
  if (page === undefined) throw new Error(`no page ${id}`);
  return drawSheet(page, resolution);
}

test('drawing a page twice gives the same bytes in every form of file', async () => {
  for (const id of ['2', '5', '8', '9', '11', '12', '13', 'bookplate']) {
    const page = samplePages.find((known) => known.id === id);
    if (page === undefined) throw new Error(`no page ${id}`);
    const again = await mkdtemp(join(folder, 'again-'));
    await writePageFiles(drawSheet(page, ppi), page.files, again);
    for (const name of await readdir(again)) {
      expect(`${name} ${await sha256(join(again, name))}`).toBe(`${name} ${await sha256(incoming(name))}`);
    }
  }
});

async function sha256(path: string): Promise<string> {
  return createHash('sha256')
    .update(await readFile(path))
    .digest('hex');
}
