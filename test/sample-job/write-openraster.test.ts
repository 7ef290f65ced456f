import { mkdtemp, open, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SaxesParser } from 'saxes';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openPromise } from 'yauzl';
import { printDefaults } from '../../config/job-file/print-defaults.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { flatten } from '../../pipeline/layers/flatten-layers.js';
import { readWorkingPicture } from '../../pipeline/reading/read-picture.js';
import { drawSheet } from '../../sample-job/draw-issue.js';
import { samplePages } from '../../sample-job/issue-pages.js';
import { writeOpenRaster } from '../../sample-job/write-openraster.js';

const arena = new PageArena();

// Rules: OpenRaster baseline specification, file layout and layer stack (github.com/openraster/ora-spec, baseline/).

const ppi = 48;
let folder = '';
let path = '';
let entries = new Map<string, Buffer>();

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sample-ora-'));
  path = await writePage('9');
  entries = await entriesOf(path);
});

async function writePage(wanted: string): Promise<string> {
  const page = samplePages.find(({ id }) => id === wanted);
  if (page === undefined) throw new Error(`no page ${wanted}`);
  const written = join(folder, `page-${wanted}.ora`);
  await writeOpenRaster(written, drawSheet(page, ppi), ppi);
  return written;
}

async function entriesOf(archive: string): Promise<Map<string, Buffer>> {
  const found = new Map<string, Buffer>();
  const zip = await openPromise(archive);
  for await (const entry of zip.eachEntry()) {
    const chunks: Buffer[] = [];
    for await (const chunk of await zip.openReadStreamPromise(entry)) chunks.push(chunk as Buffer);
    found.set(entry.fileName, Buffer.concat(chunks));
  }
  return found;
}

afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

function entry(name: string): Buffer {
  const data = entries.get(name);
  if (data === undefined) throw new Error(`the archive lacks ${name}`);
  return data;
}

function tagsOf(xml: string): { name: string; attributes: Record<string, string> }[] {
  const tags: { name: string; attributes: Record<string, string> }[] = [];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name, attributes }) => {
    tags.push({ name, attributes: attributes as Record<string, string> });
  });
  parser.write(xml).close();
  return tags;
}

test('the type stands first in the archive, stored, without a line end', async () => {
  const file = await open(path);
  const head = Buffer.alloc(64);
  await file.read(head, 0, 64, 0);
  await file.close();
  expect(head.readUInt16LE(8)).toBe(0);
  expect(head.toString('latin1', 30, 38 + 16)).toBe('mimetypeimage/openraster');
  expect(entry('mimetype').toString()).toBe('image/openraster');
});

test('the stack is well-formed, states size and resolution, and names every layer', () => {
  const tags = tagsOf(entry('stack.xml').toString());
  expect(tags[0].attributes).toMatchObject({ w: '330', h: '504', xres: '48', yres: '48' });
  const layers = tags.filter(({ name }) => name === 'layer').map(({ attributes }) => attributes);
  expect(layers.map((layer) => `${layer.name} ${layer['composite-op']}`)).toEqual([
    'lettering svg:src-over',
    'sparks svg:plus',
    'glow svg:screen',
    'inks svg:src-over',
    'shadows svg:multiply',
    'flats svg:src-over',
  ]);
  for (const layer of layers) expect(entries.has(layer.src), layer.src).toBe(true);
});

test('a page with rims of light has them in a layer of their own, above inks and glow', async () => {
  const archive = await entriesOf(await writePage('11'));
  const layers = tagsOf(String(archive.get('stack.xml'))).filter(({ name }) => name === 'layer');
  expect(
    layers.slice(0, 5).map(({ attributes }) => `${attributes.name} ${attributes['composite-op']}`),
  ).toEqual([
    'lettering svg:src-over',
    'rims svg:src-over',
    'sparks svg:plus',
    'glow svg:screen',
    'inks svg:src-over',
  ]);
});

test('layers are cropped to what they hold', async () => {
  const layers = tagsOf(entry('stack.xml').toString()).filter(({ name }) => name === 'layer');
  const lettering = layers[0].attributes;
  const { width, height } = await sharp(entry(lettering.src)).metadata();
  expect(width * height).toBeLessThan(330 * 504);
  expect(Number(lettering.x) + width).toBeLessThanOrEqual(330);
  expect(Number(lettering.y) + height).toBeLessThanOrEqual(504);
});

test('the thumbnail fits into 256 x 256 pixels', async () => {
  const { width, height } = await sharp(entry('Thumbnails/thumbnail.png')).metadata();
  expect(Math.max(width, height)).toBe(256);
});

test.each(['9', '11'])(
  'the merged image of page %s is the flattened stack, within one step of 255',
  async (id) => {
    const archive = await writePage(id);
    const picture = await readWorkingPicture(archive, {}, arena);
    if (picture.kind !== 'layered') throw new Error('not read as layers');
    expect(picture.profile, 'the colours say that they are sRGB').toBeDefined();
    const { line } = printDefaults;
    const flattened = await flatten(
      picture,
      {
        partOf: () => undefined,
        line: {
          thresholdPercent: line.threshold,
          blackMaxLevelPercent: line.blackLevel,
          blackMaxChromaPercent: line.blackChroma,
          liftFromFlat: line.lift,
          liftMaxLevelPercent: line.liftLevel,
        },
      },
      arena,
    );
    const merged = await sharp((await entriesOf(archive)).get('mergedimage.png'))
      .raw()
      .toBuffer();
    const colour = flattened.colour.data;
    expect(colour.length).toBe(merged.length);
    let worst = 0;
    for (let i = 0; i < merged.length; i++) worst = Math.max(worst, Math.abs(merged[i] - colour[i]));
    expect(worst).toBeLessThanOrEqual(1);
  },
);
