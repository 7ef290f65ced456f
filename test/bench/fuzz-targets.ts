import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { PlatehandError } from '../../config/errors.js';
import { parseJob } from '../../config/load-job.js';
import { verifyBag } from '../../pipeline/bag/verify.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { LayerGroup } from '../../pipeline/model/working-page.js';
import { parseStack } from '../../pipeline/reading/openraster-stack.js';
import { readWorkingPicture } from '../../pipeline/reading/read-picture.js';
import { fuzzSeeds } from './fuzz-seeds.js';

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

/** What the records of a ZIP begin with. */
const zipMarks = ['PK\x01\x02', 'PK\x03\x04', 'PK\x05\x06', 'PK\x06\x06', 'PK\x06\x07'];

export const fuzzTargets: Readonly<Record<string, FuzzTarget>> = {
  tiff: {
    take: takePicture,
    seeds: fuzzSeeds.tiff,
    words: ['II*\0', 'MM\0*', 'II+\0', '\x11\x01', '\x53\x01', '\x73\x87', '\x69\x87', '\x4a\x01'],
  },
  png: {
    take: takePicture,
    seeds: fuzzSeeds.png,
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
    seeds: fuzzSeeds.jpeg,
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
    seeds: fuzzSeeds.openraster,
    words: [...zipMarks, 'stack.xml', 'data/1.png', 'mimetype', '../'],
  },
  stack: {
    take: async (input) => void parseStack(input, 'a.ora'),
    seeds: fuzzSeeds.stack,
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
    seeds: fuzzSeeds.archive,
    words: [...zipMarks, '../', 'data/', 'manifest-md5.txt', 'Payload-Oxum: ', 'fetch.txt', '%0A'],
  },
  job: {
    take: async (input) => void parseJob(input.toString('utf8'), '/nowhere'),
    seeds: fuzzSeeds.job,
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
