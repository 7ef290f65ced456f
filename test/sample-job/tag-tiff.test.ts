import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { decode } from 'tiff';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { srgbProfile } from '../../sample-job/tag-tiff.js';
import { writeColourTiff } from '../../sample-job/write-picture.js';

let folder = '';

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sample-tiff-'));
});

afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

test.each([8, 16])('a colour TIFF of %i bit holds its pixels exactly and its profile whole', async (bits) => {
  const path = join(folder, `${bits}.tif`);
  const samples = 64 * 48 * 3;
  const data = bits === 16 ? new Uint16Array(samples) : new Uint8Array(samples);
  for (let i = 0; i < samples; i++) data[i] = (i * 977) % (bits === 16 ? 65536 : 256);
  await writeColourTiff(path, { width: 64, height: 48, channels: 3, data }, 600);
  // `tiff` is a second decoder, written apart from the library that wrote the file.
  const [picture] = decode(await readFile(path));
  expect(picture.bitsPerSample).toBe(bits);
  expect(picture.xResolution).toBe(600);
  expect(
    Buffer.from(picture.data.buffer, picture.data.byteOffset, picture.data.byteLength).equals(
      Buffer.from(data.buffer),
    ),
  ).toBe(true);
  const { icc, density } = await sharp(path).metadata();
  expect(density).toBe(600);
  expect(icc?.equals(await srgbProfile())).toBe(true);
});
