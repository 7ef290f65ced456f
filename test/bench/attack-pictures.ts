import { truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { damagedCopies } from '../helpers/damage.js';
import {
  mimetypeEntry,
  openRasterEntries,
  writeOpenRaster,
  writeZip,
} from '../helpers/openraster-fixtures.js';
import { claimSize, writePng } from '../helpers/png-fixtures.js';
import { short, writeTiff } from '../helpers/tiff-fixtures.js';
import { type AttackedIssue, victims } from './attack-issue.js';
import { colourVariant } from './watched-issue.js';

/** Files that are dropped as pages beside good ones: damaged copies of every format, and files made to cost. */

const endings = { tiff: 'tif', png: 'png', jpeg: 'jpg', openraster: 'ora' } as const;
type Format = keyof typeof endings;
export const formats = Object.keys(endings) as Format[];

/** One page takes up to a second on a busy machine, and the process starts anew after a decoder that crashed. */
const [runLimitMs, perPageMs] = [60_000, 5000];

/** A small page in every format. */
async function originals(format: Format): Promise<Buffer[]> {
  const tiff = await colourVariant(1);
  const flat = sharp(tiff).resize(110, 150);
  if (format === 'tiff') {
    const deflated = await flat
      .clone()
      .tiff({ compression: 'deflate', tile: true, tileWidth: 64, tileHeight: 64 })
      .toBuffer();
    return [tiff, deflated];
  }
  if (format === 'png')
    return [await flat.clone().png().toBuffer(), await flat.clone().png({ palette: true }).toBuffer()];
  if (format === 'jpeg')
    return [await flat.clone().jpeg().toBuffer(), await flat.clone().jpeg({ progressive: true }).toBuffer()];
  const png = await flat.clone().ensureAlpha().png().toBuffer();
  return [
    writeOpenRaster(
      '<image w="110" h="150" version="0.0.5"><stack><layer name="line" src="data/1.png" composite-op="svg:multiply"/>' +
        '<layer src="data/1.png" x="2" opacity="0.5"/></stack></image>',
      { 'data/1.png': png, 'mergedimage.png': png },
    ),
  ];
}

/** Drops damaged copies as pages of their own and runs the issue. @returns how many */
export async function mutants(
  issue: AttackedIssue,
  format: Format,
  count: number,
  seed: number,
): Promise<void> {
  const copies = damagedCopies(await originals(format), format, count, seed);
  for (const [at, { bytes }] of copies.entries())
    await writeFile(join(issue.incoming, `p${victims[at]}.${endings[format]}`), bytes);
  await runBeside(issue, count);
}

/** As many as there are pages for. */
export const mostMutants = victims.length;

async function runBeside(issue: AttackedIssue, pages: number): Promise<void> {
  await issue.keepingInputs(() =>
    issue.platehand(runLimitMs + pages * perPageMs, 'run', '--jobs', pages > 1 ? '2' : '1'),
  );
  await issue.check();
}

/** Names of files that are made to cost time or memory, with what is in each. */
export const bombs: Readonly<Record<string, () => Promise<Buffer> | Buffer>> = {
  'png claims 2 billion by 2 billion.png': () => claimSize(plainPng(), 0x7fffffff, 0x7fffffff),
  'png claims 24000 by 24000.png': () => claimSize(plainPng(), 24_000, 24_000),
  'profile of 200 MB.png': () => plainPng([['iCCP', Buffer.concat([Buffer.from('a\0\0'), zeros(200)])]]),
  'text of 200 MB.png': () => plainPng([['zTXt', Buffer.concat([Buffer.from('Comment\0\0'), zeros(200)])]]),
  'pixels of 200 MB in a small png.png': () => smallPng(zeros(200)),
  'a million chunks.png': () => plainPng(new Array(200_000).fill(['tEXt', Buffer.from('a\0b')])),
  'tiff claims 4 billion rows.tif': () => lyingTiff({ 257: { type: 'long', values: [0xffffffff] } }),
  'strip of 200 MB.tif': () => writeTiff([{ ...smallTiff, compression: 8, encoded: [zeros(200)] }]),
  'giant tiles.tif': () =>
    writeTiff([
      { ...smallTiff, compression: 8, tile: { width: 60_000, height: 60_000 }, encoded: [zeros(1)] },
    ]),
  'directories in a circle.tif': circle,
  'a directory of 65535 fields.tif': () => manyFields(65_535),
  '3000 scans.jpg': () => scans(3000),
  'jpeg claims 65500 by 65500.jpg': hugeJpeg,
  'a segment that points nowhere.jpg': () =>
    Buffer.concat([Buffer.from([0xff, 0xd8, 0xff]), Buffer.alloc(70_000, 0xff)]),
  'stack of 200 MB.ora': () =>
    writeZip([mimetypeEntry, { name: 'stack.xml', content: Buffer.alloc(200 * 2 ** 20, 32), deflate: true }]),
  'entities.ora': () => writeOpenRaster(entityBomb(), {}),
  '2000 layers.ora': () => layered(2000),
  'groups in groups.ora': () =>
    writeOpenRaster(`<image w="4" h="4">${'<stack>'.repeat(50_000)}${'</stack>'.repeat(50_000)}</image>`, {}),
  'a layer that leads out.ora': () =>
    writeOpenRaster('<image w="4" h="4"><stack><layer src="../../outside/page.tif"/></stack></image>', {}),
  'an archive in an archive.ora': () =>
    writeZip([mimetypeEntry, { name: 'stack.xml', content: writeZip(openRasterEntries('<image/>', {})) }]),
};

/** So many bytes in millions, all zero, deflated. */
function zeros(megabytes: number): Buffer {
  return deflateSync(Buffer.alloc(megabytes * 2 ** 20));
}

const smallTiff = { width: 10, height: 10, samples: 1, bits: 8, photometric: 1, data: new Uint8Array(100) };
const lyingTiff = (tags: NonNullable<Parameters<typeof writeTiff>[0][number]['tags']>) =>
  writeTiff([{ ...smallTiff, tags }]);

function plainPng(chunks: readonly (readonly [string, Uint8Array])[] = []): Buffer {
  return writePng({ width: 8, height: 8, colourType: 2, bits: 8, data: new Uint8Array(192), chunks });
}

/** The only pixels are those that are given. */
function smallPng(pixels: Buffer): Buffer {
  return plainPng([['IDAT', pixels]]);
}

/** A directory whose next one is itself. */
function circle(): Buffer {
  const tiff = lyingTiff({});
  const at = tiff.readUInt32LE(4);
  tiff.writeUInt32LE(at, at + 2 + tiff.readUInt16LE(at) * 12);
  return tiff;
}

function manyFields(count: number): Buffer {
  const tiff = lyingTiff({ 700: short(1) });
  tiff.writeUInt16LE(count, tiff.readUInt32LE(4));
  return Buffer.concat([tiff, Buffer.alloc(count * 12)]);
}

async function scans(count: number): Promise<Buffer> {
  const grey = { create: { width: 1024, height: 1400, channels: 3 as const, background: '#886644' } };
  const jpeg = await sharp(grey).jpeg({ progressive: true }).toBuffer();
  const end = jpeg.length - 2;
  const scan = jpeg.subarray(jpeg.lastIndexOf(Buffer.from([0xff, 0xda])), end);
  return Buffer.concat([jpeg.subarray(0, end), ...new Array<Buffer>(count).fill(scan), jpeg.subarray(end)]);
}

async function hugeJpeg(): Promise<Buffer> {
  const jpeg = await sharp({ create: { width: 64, height: 48, channels: 3, background: '#886644' } })
    .jpeg({ progressive: true })
    .toBuffer();
  const frame = jpeg.indexOf(Buffer.from([0xff, 0xc2]));
  jpeg.writeUInt16BE(65_500, frame + 5);
  jpeg.writeUInt16BE(65_500, frame + 7);
  return jpeg;
}

function entityBomb(): string {
  const lines = Array.from({ length: 12 }, (_, i) => `<!ENTITY e${i + 1} "${`&e${i};`.repeat(10)}">`);
  return `<!DOCTYPE image [<!ENTITY e0 "ha">${lines.join('')}]><image w="4" h="4" name="&e12;"><stack/></image>`;
}

function layered(count: number): Buffer {
  const png = writePng({ width: 2000, height: 2000, colourType: 0, bits: 1, data: new Uint8Array(4e6) });
  const stack = `<image w="2000" h="2000"><stack>${'<layer src="data/1.png"/>'.repeat(count)}</stack></image>`;
  return writeOpenRaster(stack, { 'data/1.png': png });
}

/** Drops one file that is made to cost, as a page beside good ones. */
export async function bomb(issue: AttackedIssue, name: string): Promise<void> {
  const ending = name.slice(name.lastIndexOf('.'));
  await writeFile(join(issue.incoming, `p3${ending}`), await bombs[name]());
  await runBeside(issue, 1);
}

/** A file of 60 GB that takes no room: nothing but its size is there. */
export async function giant(issue: AttackedIssue): Promise<void> {
  const path = join(issue.incoming, 'p3.tif');
  await writeFile(path, await colourVariant(1));
  await truncate(path, 60 * 2 ** 30);
  await runBeside(issue, 1);
}
