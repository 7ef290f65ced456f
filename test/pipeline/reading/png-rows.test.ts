import { crc32 } from 'node:zlib';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { LayerRows } from '../../../pipeline/model/working-page.js';
import { openPngRows } from '../../../pipeline/reading/png-rows.js';
import { claimSize, type PngPicture, writePng } from '../../helpers/png-fixtures.js';
import { seeded } from '../../helpers/rasters.js';

const arena = new PageArena();
const [width, height] = [53, 41];

/** Rows of all, some at a time. */
async function decoded(rows: LayerRows, channels: number, atATime = 7): Promise<Uint8Array> {
  const out = new Uint8Array(rows.width * rows.height * channels);
  for (let y = 0; y < rows.height; y += atATime) {
    const count = Math.min(atATime, rows.height - y);
    await rows.next(count, out.subarray(y * rows.width * channels));
  }
  await rows.end();
  return out;
}

const random = seeded(5);
const noise = Uint8Array.from({ length: width * height * 4 }, (_, i) =>
  Math.floor((i % 17) * 9 + random() * 40),
);

function picture(colourType: PngPicture['colourType'], more: Partial<PngPicture> = {}): Buffer {
  const channels = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 }[colourType];
  const data = noise.subarray(0, width * height * channels);
  return writePng({ width, height, colourType, bits: 8, data, ...more });
}

/** Grey as red, green and blue, as layers are blended. */
function inRgb(grey: Uint8Array, channels: number): Uint8Array {
  const pixels = Array.from({ length: grey.length / channels }, (_, at) =>
    grey.subarray(at * channels, (at + 1) * channels),
  );
  return Uint8Array.from(pixels.flatMap(([level, ...alpha]) => [level, level, level, ...alpha]));
}

/** The same PNG, what is packed cut into chunks of so many bytes. */
function inChunks(png: Buffer, bytes: number): Buffer {
  const at = png.indexOf('IDAT') - 4;
  const length = png.readUInt32BE(at);
  const packed = png.subarray(at + 8, at + 8 + length);
  const chunks = Array.from({ length: Math.ceil(length / bytes) }, (_, i) => {
    const content = packed.subarray(i * bytes, (i + 1) * bytes);
    const chunk = Buffer.alloc(content.length + 12);
    chunk.writeUInt32BE(content.length);
    chunk.write('IDAT', 4, 'latin1');
    content.copy(chunk, 8);
    chunk.writeUInt32BE(crc32(chunk.subarray(4, -4)), chunk.length - 4);
    return chunk;
  });
  return Buffer.concat([png.subarray(0, at), ...chunks, png.subarray(at + 12 + length)]);
}

describe('a PNG that is decoded row by row', () => {
  const kinds = ([1, 2, 3, 4] as const).flatMap((channels) =>
    [false, true].map((filtered) => ({ channels, filtered })),
  );
  it.each(kinds)('is what the library decodes: $channels channels, filtered: $filtered', async (kind) => {
    const { channels, filtered } = kind;
    const raw = { width, height, channels };
    const png = await sharp(noise.subarray(0, width * height * channels), { raw })
      .toColourspace(channels < 3 ? 'b-w' : 'srgb')
      .png({ adaptiveFiltering: filtered })
      .toBuffer();
    const rows = openPngRows(png, 'a layer', arena);
    if (rows === undefined) throw new Error('it is not read row by row');
    expect([rows.model, rows.alpha]).toEqual([channels < 3 ? 'grey' : 'rgb', channels % 2 === 0]);
    const { data } = await sharp(png).toColourspace('srgb').raw().toBuffer({ resolveWithObject: true });
    const found = await decoded(rows, channels);
    expect(Buffer.compare(channels < 3 ? inRgb(found, channels) : found, data.subarray())).toBe(0);
  });

  it.each([1, 100, 8192, 300_000])('is the same in chunks of %i bytes', async (bytes) => {
    const size = { width: 400, height: bytes === 1 ? 8 : 400 };
    const data = Uint8Array.from({ length: size.width * size.height * 4 }, () => Math.floor(random() * 256));
    const png = writePng({ ...size, colourType: 6, bits: 8, data });
    const rows = openPngRows(inChunks(png, bytes), 'a layer', arena);
    if (rows === undefined) throw new Error('it is not read row by row');
    expect(Buffer.compare(await decoded(rows, 4), data)).toBe(0);
  });

  it('need not be read to its end to be known as whole', async () => {
    const rows = openPngRows(picture(6), 'a layer', arena);
    await rows?.next(3, new Uint8Array(3 * width * 4));
    await expect(rows?.end()).resolves.toBeUndefined();
  });

  it.each([
    ['16 bit', picture(6, { bits: 16 })],
    ['a palette', picture(3, { chunks: [['PLTE', new Uint8Array(768)]] })],
    ['a colour that stands for nothing', picture(2, { chunks: [['tRNS', new Uint8Array(6)]] })],
    ['a chunk that nobody knows', picture(6, { chunks: [['ABCD', new Uint8Array(6)]] })],
    ['no end', picture(6).subarray(0, -12)],
    ['a damaged byte', Buffer.from(picture(6)).fill(7, 300, 301)],
    ['another signature', Buffer.from(picture(6)).fill(7, 3, 4)],
  ])('with %s is left to the library', (_, png) => {
    expect(openPngRows(png, 'a layer', arena)).toBeUndefined();
  });

  it('that holds more than any picture of its size is refused without being inflated to its end', async () => {
    const rows = openPngRows(claimSize(picture(6), width, 1), 'a layer', arena);
    await expect(rows?.end()).rejects.toMatchObject({ code: 'picture-unreadable' });
  });

  it.each([
    ['fewer', height - 1, 'do not fill its size'],
    ['more', height + 1, 'end before its last row'],
  ])('that claims %s rows than it has is refused', async (_, claimed, what) => {
    const rows = openPngRows(claimSize(picture(6), width, claimed), 'a layer', arena);
    if (rows === undefined) throw new Error('it is not read row by row');
    await expect(decoded(rows, 4)).rejects.toMatchObject({
      code: 'picture-unreadable',
      what: expect.stringContaining(what),
    });
  });
});
