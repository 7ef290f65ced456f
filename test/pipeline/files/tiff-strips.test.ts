import { deflateSync, inflateSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { joined } from '../../../pipeline/files/joined-deflate.js';
import { PackedStrips } from '../../../pipeline/files/tiff-strips.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { seeded } from '../../helpers/rasters.js';

const arena = new PageArena();

const random = seeded(5);

/** A plane of few tones, in which a compressor finds many matches to choose from. */
function plane(width: number, height: number) {
  const samples = Uint8Array.from({ length: width * height }, () => Math.floor(random() * 4) * 5);
  return { width, height, planes: [samples] as const };
}

test.each([
  [80, 108],
  [256, 250],
  [256, 257],
])(
  'a plane of %i x %i is packed into the same bytes whatever was packed before it',
  async (width, height) => {
    for (let each = 0; each < 40; each++) {
      const picture = plane(width, height);
      const first = Buffer.concat(await new PackedStrips(picture, arena).all());
      for (let again = 0; again < 3; again++) {
        await new PackedStrips(plane(90, 120), arena).all();
        await new PackedStrips(plane(900, 120), arena).all();
        expect(Buffer.concat(await new PackedStrips(picture, arena).all()).equals(first)).toBe(true);
      }
    }
  },
);

test.each([
  [80, 108],
  [700, 4000],
])('strips of a plane of %i x %i, joined, unpack to what the strips hold', async (width, height) => {
  const strips = new PackedStrips(plane(width, height), arena);
  const packed = await strips.all();
  const streams = packed.map((each, strip) => ({ packed: each, bytes: strips.bytesOf(strip) }));
  // Unpacking checks the checksum of the whole as well.
  const whole = inflateSync(Buffer.concat(joined(streams)));
  expect(whole.equals(Buffer.concat(packed.map((each) => inflateSync(each))))).toBe(true);
  expect(whole.length).toBe(width * height);
});

test('a strip is packed once, whoever asks for it', () => {
  const strips = new PackedStrips(plane(80, 108), arena);
  expect(strips.at(0)).toBe(strips.at(0));
});

test('streams without a flush before their end are not joined', () => {
  const packed = deflateSync(Buffer.from('a page'));
  expect(() => joined([{ packed, bytes: 6 }])).toThrow(/without a flush/);
});
