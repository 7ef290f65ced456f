import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import sharp from 'sharp';
import { PlatehandError } from '../../config/errors.js';
import { parseJob } from '../../config/load-job.js';
import { verifyBag } from '../../pipeline/bag/verify.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { LayerGroup } from '../../pipeline/model/working-page.js';
import { parseStack } from '../../pipeline/reading/openraster-stack.js';
import { readWorkingPicture } from '../../pipeline/reading/read-picture.js';
import { bag, withTagManifest } from '../helpers/bags.js';
import { writeOpenRaster, writeZip } from '../helpers/openraster-fixtures.js';
import { sampleValues } from '../helpers/picture-samples.js';
import { writePng } from '../helpers/png-fixtures.js';
import { smallJob } from '../helpers/small-issue.js';
import { short, writeTiff } from '../helpers/tiff-fixtures.js';

/** Doors through which bytes of strangers come in, with sound examples to begin with and words of each language. */
export interface FuzzTarget {
  /** Takes in one input. @param folder for files that it needs. @throws whatever comes out; only PlatehandError may */
  readonly take: (input: Buffer, folder: string) => Promise<void>;
  readonly seeds: () => Promise<readonly Buffer[]>;
  readonly words: readonly string[];
  /** Makes checksums fit again, so that what lies behind them is reached. */
  readonly mend?: (input: Buffer) => Buffer;
}

const arena = new PageArena();
/** Small, so that a lie about the size costs no time; what is refused beyond is the same code. */
const limits = { maxPixels: 1e6, maxDecodedBytes: 16e6 };
const size = { width: 8, height: 6 };
const pixels = size.width * size.height;

function takePicture(content: Buffer): Promise<void> {
  return arena.scope(async () => {
    const picture = await readWorkingPicture('a.tif', { content, limits }, arena);
    if (picture.kind === 'layered') await takeLayers(picture.root);
  });
}

async function takeLayers(group: LayerGroup): Promise<void> {
  for (const child of group.children) {
    if (child.kind === 'group') await takeLayers(child);
    else await child.pixels();
  }
}

const rgb = () => sharp(Buffer.from(sampleValues(pixels * 3, 8)), { raw: { ...size, channels: 3 } });
const png = (
  colourType: 0 | 2 | 3 | 6,
  bits: number,
  chunks: readonly (readonly [string, Buffer])[] = [],
) => {
  const channels = { 0: 1, 2: 3, 3: 1, 6: 4 }[colourType];
  return writePng({ ...size, colourType, bits, data: sampleValues(pixels * channels, bits), chunks });
};

function tiff(photometric: number, samples: number, bits: number, more = {}, layout = {}): Buffer {
  const data = sampleValues(pixels * samples, bits);
  return writeTiff([{ ...size, photometric, samples, bits, data, rowsPerStrip: 3, ...more }], layout);
}

const stackXml =
  '<?xml version="1.0" encoding="UTF-8"?><image w="8" h="6" version="0.0.5" xres="600" yres="600"><stack>' +
  '<layer name="a" src="data/1.png" x="-3" composite-op="svg:multiply" opacity="0.5"/><stack x="4">' +
  '<layer name="b" src="data/1.png" visibility="hidden"/></stack></stack></image>';

/** CRCs of all chunks (PNG, third edition, 5.3), as far as the lengths lead through the file. */
function mendPng(input: Buffer): Buffer {
  for (let at = 8; at + 12 <= input.length; ) {
    const end = at + 8 + input.readUInt32BE(at);
    if (end + 4 > input.length) break;
    input.writeUInt32BE(crc32(input.subarray(at + 4, end)), end);
    at = end + 4;
  }
  return input;
}

export const fuzzTargets: Readonly<Record<string, FuzzTarget>> = {
  tiff: {
    take: takePicture,
    seeds: async () => [
      tiff(2, 3, 8, { compression: 5 }),
      tiff(0, 1, 1, {}, { bigEndian: true }),
      tiff(5, 4, 8, { compression: 8, planar: true }),
      tiff(2, 4, 16, { extraSamples: [1], tags: { 274: short(6) } }, { big: true }),
      tiff(3, 1, 8, { tags: { 320: short(...sampleValues(768, 16)) } }),
      tiff(2, 3, 8, { tile: { width: 16, height: 16 }, compression: 32773 }),
      await rgb().withMetadata({ density: 300 }).tiff({ compression: 'jpeg' }).toBuffer(),
    ],
    words: ['II*\0', 'MM\0*', 'II+\0', '\x11\x01', '\x53\x01', '\x73\x87', '\x69\x87', '\x4a\x01'],
  },
  png: {
    take: takePicture,
    seeds: async () => [
      png(2, 8, [
        ['gAMA', Buffer.from([0, 0, 0xb1, 0x8f])],
        ['sRGB', Buffer.from([0])],
      ]),
      png(3, 4, [
        ['PLTE', Buffer.from(sampleValues(48, 8))],
        ['tRNS', Buffer.from([1, 2, 3])],
      ]),
      png(6, 16, [['pHYs', Buffer.from([0, 0, 0x2e, 0x23, 0, 0, 0x2e, 0x23, 1])]]),
      png(0, 1, [
        ['cICP', Buffer.from([1, 13, 0, 1])],
        ['tIME', Buffer.from([7, 0xea, 11, 20, 1, 1, 1])],
      ]),
      await rgb().withIccProfile('p3').png().toBuffer(),
    ],
    words: [
      'IHDR',
      'PLTE',
      'IDAT',
      'IEND',
      'tRNS',
      'gAMA',
      'cHRM',
      'iCCP',
      'sBIT',
      'sRGB',
      'eXIf',
      'tEXt',
      'zTXt',
      'acTL',
    ],
    mend: mendPng,
  },
  jpeg: {
    take: takePicture,
    seeds: async () => [
      await rgb().jpeg().toBuffer(),
      await rgb().withMetadata({ orientation: 5, density: 300 }).jpeg({ progressive: true }).toBuffer(),
      await rgb().toColourspace('cmyk').jpeg().toBuffer(),
      await rgb()
        .toColourspace('b-w')
        .withExif({ IFD0: { DateTime: '2026:11:20 12:00:00' } })
        .jpeg()
        .toBuffer(),
    ],
    words: [
      '\xff\xd8',
      '\xff\xda',
      '\xff\xc0',
      '\xff\xc2',
      '\xff\xe1',
      '\xff\xe2ICC_PROFILE\0',
      '\xff\xee',
      'Exif\0\0',
      'Adobe',
    ],
  },
  openraster: {
    take: takePicture,
    seeds: async () => [
      writeOpenRaster(stackXml, { 'data/1.png': png(6, 8), 'mergedimage.png': png(2, 8) }),
      writeOpenRaster(stackXml.replaceAll(' ', '\n '), { 'data/1.png': png(0, 1) }),
    ],
    words: [
      'PK\x01\x02',
      'PK\x03\x04',
      'PK\x05\x06',
      'PK\x06\x06',
      'PK\x06\x07',
      'stack.xml',
      'data/1.png',
      'mimetype',
      '../',
    ],
  },
  stack: {
    take: async (input) => void parseStack(input, 'a.ora'),
    seeds: async () => [Buffer.from(stackXml)],
    words: [
      '<layer ',
      '<stack>',
      '</stack>',
      '<!DOCTYPE x [',
      '<!ENTITY a "b">',
      '&#x0;',
      '&amp;',
      '<![CDATA[',
      'svg:plus',
      '-1',
      '1e309',
      'NaN',
      '\ufeff',
    ],
  },
  archive: {
    async take(input, folder) {
      const path = join(folder, 'a.zip');
      await writeFile(path, input);
      await verifyBag(path);
    },
    seeds: async () => [archiveOf(false), archiveOf(true)],
    words: [
      'PK\x01\x02',
      'PK\x03\x04',
      'PK\x05\x06',
      'PK\x06\x06',
      'PK\x06\x07',
      '../',
      'data/',
      'manifest-md5.txt',
      'Payload-Oxum: ',
      'fetch.txt',
      '%0A',
    ],
  },
  job: {
    take: async (input) => void parseJob(input.toString('utf8'), '/nowhere'),
    seeds: async () => [
      Buffer.from(smallJob),
      Buffer.from(
        `${smallJob}held:\n  - page: 1\n    reason: late\nnames:\n  'x.tif': { page: 2, part: line }\nkinds:\n  cover: { bleed: 5 }\n`,
      ),
    ],
    words: [
      '&a ',
      '*a',
      '!!map',
      '---\n',
      '? ',
      '|\n',
      '>-\n',
      '{a: [',
      '<<: ',
      '__proto__: ',
      '1e999',
      '-0',
      '\u0085',
      '\u202e',
      'pages: 1-99999999',
      'print:\n',
      '\t',
    ],
  },
};

/** A small bag, stored and then deflated. */
function archiveOf(deflate: boolean): Buffer {
  const parts = withTagManifest(
    bag({ 'data/a.txt': 'a page\n' }, { 'bag-info.txt': 'Payload-Oxum: 7.1\nBagging-Date: 2026-11-20\n' }),
  );
  return writeZip(
    Object.entries(parts).map(([name, content]) => ({
      name: `b/${name}`,
      content: Buffer.from(content),
      deflate,
    })),
  );
}

/** What became of one input: undefined where it was taken in or refused in plain words, else what came out instead. */
export async function faultWith(
  target: FuzzTarget,
  input: Buffer,
  folder: string,
): Promise<string | undefined> {
  try {
    await target.take(input, folder);
    return undefined;
  } catch (thrown) {
    if (thrown instanceof PlatehandError) return undefined;
    return thrown instanceof Error ? (thrown.stack ?? thrown.message) : String(thrown);
  }
}
