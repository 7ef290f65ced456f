import { randomBytes } from 'node:crypto';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { ReadLimits } from '../../../pipeline/reading/read-limits.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { writeOpenRaster } from '../../helpers/openraster-fixtures.js';
import { type Scratch, scratchFolder } from '../../helpers/picture-samples.js';
import { writePng } from '../../helpers/png-fixtures.js';
import { writeTiff } from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();
let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

async function read(name: string, bytes: Uint8Array, limits: Partial<ReadLimits> = {}) {
  return readWorkingPicture(await scratch.file(name, bytes), { name, limits }, arena);
}

const tooLarge = (what: RegExp) => ({ code: 'picture-too-large', what: expect.stringMatching(what) });

/** A progressive JPEG of 64 x 48 pixels with so many scans, ten of them of use, and something appended. */
async function scans(count: number, appended: Uint8Array = Buffer.alloc(0)): Promise<Buffer> {
  const grey = { create: { width: 64, height: 48, channels: 3 as const, background: '#886644' } };
  const jpeg = await sharp(grey).jpeg({ progressive: true }).toBuffer();
  const [start, end] = [jpeg.lastIndexOf(Buffer.from([0xff, 0xda])), jpeg.length - 2];
  let found = 0;
  for (let at = 0; at < end; at++) if (jpeg[at] === 0xff && jpeg[at + 1] === 0xda) found++;
  const more = new Array<Buffer>(count - found).fill(jpeg.subarray(start, end));
  return Buffer.concat([jpeg.subarray(0, end), ...more, jpeg.subarray(end), appended]);
}

describe('a progressive JPEG', () => {
  test('of more than 100 scans is refused before it is decoded', async () => {
    await expect(read('a.jpg', await scans(3000))).rejects.toMatchObject(tooLarge(/more than the 100 scans/));
    await expect(read('a.jpg', await scans(101))).rejects.toMatchObject(tooLarge(/more than the 100 scans/));
  });

  test('is taken in as any program writes it, whatever is appended behind its end', async () => {
    const marks = Buffer.alloc(1000, Buffer.from([0xff, 0xda, 0, 8]));
    const appended = Buffer.concat([marks, randomBytes(64)]);
    expect(await read('a.jpg', await scans(10, appended))).toMatchObject({ width: 64, height: 48 });
  });

  test('is refused where its coefficients take more memory than a picture may', async () => {
    // 4:2:0 has half a sample more than grey for each pixel, two bytes each.
    const bytes = 64 * 48 * 1.5 * 2;
    const jpeg = await scans(10);
    await expect(read('a.jpg', jpeg, { maxDecodedBytes: bytes - 1 })).rejects.toMatchObject(
      tooLarge(/decode/),
    );
    expect(await read('a.jpg', jpeg, { maxDecodedBytes: 64 * 48 * 3 })).toMatchObject({ width: 64 });
  });
});

test('a TIFF of small size with giant tiles is refused before a tile is unpacked', async () => {
  const picture = { width: 10, height: 10, samples: 1, bits: 8, photometric: 1, data: new Uint8Array(100) };
  const tile = { width: 60_000, height: 60_000 };
  const tiff = writeTiff([{ ...picture, compression: 8, tile, encoded: [randomBytes(64)] }]);
  await expect(read('a.tif', tiff)).rejects.toMatchObject(
    tooLarge(/60000 x 60000 pixels for a picture of 10/),
  );
});

test('layers are counted together, and one that is used often as often', async () => {
  const png = writePng({ width: 20, height: 15, colourType: 2, bits: 8, data: new Uint8Array(900) });
  const layer = '<layer src="data/a.png"/>';
  const hidden = '<layer src="data/a.png" visibility="hidden"/>';
  const stackOf = (layers: string) => `<image w="20" h="15" version="0.0.5"><stack>${layers}</stack></image>`;
  const limits = { maxLayerPixels: 10 * 20 * 15 };
  const file = (count: number) =>
    writeOpenRaster(stackOf(layer.repeat(count) + hidden), { 'data/a.png': png, 'mergedimage.png': png });
  expect(await read('a.ora', file(10), limits)).toMatchObject({ kind: 'layered' });
  await expect(read('a.ora', file(11), limits)).rejects.toMatchObject(tooLarge(/layers have .* together/));
});

test('a PNG whose texts are longer than any picture is damaged, and none of them is read', async () => {
  const png = writePng({ width: 4, height: 4, colourType: 2, bits: 8, data: new Uint8Array(48) });
  const text = Buffer.alloc(70 * 2 ** 20);
  text.writeUInt32BE(text.length - 12);
  text.write('tEXt', 4, 'latin1');
  const long = Buffer.concat([png.subarray(0, 33), text, png.subarray(33)]);
  await expect(read('a.png', long)).rejects.toMatchObject({ code: 'picture-unreadable' });
});
