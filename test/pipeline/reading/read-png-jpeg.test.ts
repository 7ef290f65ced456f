import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { FlatPicture } from '../../../pipeline/model/working-page.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { firstDifference, type Scratch, sampleValues, scratchFolder } from '../../helpers/picture-samples.js';
import { type PngPicture, profileChunk, writePng } from '../../helpers/png-fixtures.js';
import { rational, short, writeTiff } from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();

let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

const size = { width: 33, height: 21 };
const pixels = size.width * size.height;

async function read(name: string, bytes: Uint8Array): Promise<FlatPicture> {
  const picture = await readWorkingPicture(await scratch.file(name, bytes), {}, arena);
  if (picture.kind !== 'flat') throw new Error('expected a flat picture');
  return picture;
}

function png(
  colourType: PngPicture['colourType'],
  bits: number,
  chunks: PngPicture['chunks'] = [],
): PngPicture {
  const channels = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 }[colourType];
  return {
    ...size,
    colourType,
    bits,
    data: sampleValues(pixels * channels, bits, bits + colourType),
    chunks,
  };
}

const codes = (picture: FlatPicture) => picture.noticed.map((finding) => finding.code);

/** An EXIF block that states an orientation and a resolution: a TIFF directory without a picture. */
function exif(orientation: number, ppi: number): Buffer {
  const tags = { 274: short(orientation), 282: rational([ppi, 1]), 283: rational([ppi, 1]), 296: short(2) };
  return writeTiff([{ width: 1, height: 1, samples: 1, bits: 8, photometric: 1, data: [0], tags }]);
}

describe('a PNG arrives number for number', () => {
  for (const [type, depths, model, alpha] of [
    [0, [1, 2, 4, 8, 16], 'grey', false],
    [2, [8, 16], 'rgb', false],
    [4, [8, 16], 'grey', true],
    [6, [8, 16], 'rgb', true],
  ] as const) {
    for (const bits of depths) {
      it(`colour type ${type}, ${bits} bit`, async () => {
        const stored = png(type, bits);
        const { raster, bitsPerSample } = await read('p1.png', writePng(stored));
        const scale = bits < 8 ? 255 / (2 ** bits - 1) : 1;
        expect([raster.model, raster.alpha, bitsPerSample]).toEqual([model, alpha, bits]);
        const expected = Array.from(stored.data, (value) => value * scale);
        expect(firstDifference(raster, expected)).toBeUndefined();
      });
    }
  }

  it('through a palette, with and without transparent entries', async () => {
    for (const bits of [1, 2, 4, 8]) {
      const palette = Buffer.from(sampleValues(3 * 2 ** bits, 8, bits));
      const alphas = Buffer.from([0, 128]);
      for (const transparent of [false, true]) {
        const chunks: [string, Uint8Array][] = [['PLTE', palette]];
        if (transparent) chunks.push(['tRNS', alphas]);
        const stored = png(3, bits, chunks);
        const { raster, bitsPerSample } = await read('p1.png', writePng(stored));
        const expected = Array.from(stored.data).flatMap((index) => [
          ...palette.subarray(index * 3, index * 3 + 3),
          ...(transparent ? [alphas[index] ?? 255] : []),
        ]);
        expect([raster.model, raster.alpha, bitsPerSample]).toEqual(['rgb', transparent, 8]);
        expect(firstDifference(raster, expected)).toBeUndefined();
      }
    }
  });

  it('with one colour declared transparent', async () => {
    for (const [type, bits, channels] of [
      [0, 8, 1],
      [0, 16, 1],
      [2, 8, 3],
      [2, 16, 3],
    ] as const) {
      const stored = png(type, bits);
      const colour = Array.from(stored.data).slice(0, channels);
      const key = Buffer.alloc(channels * 2);
      for (const [i, value] of colour.entries()) key.writeUInt16BE(value, i * 2);
      const { raster } = await read('p1.png', writePng({ ...stored, chunks: [['tRNS', key]] }));
      const expected: number[] = [];
      for (let pixel = 0; pixel < pixels; pixel++) {
        const value = Array.from(stored.data).slice(pixel * channels, (pixel + 1) * channels);
        expected.push(...value, value.every((each, i) => each === colour[i]) ? 0 : 2 ** bits - 1);
      }
      expect(raster.alpha).toBe(true);
      expect(firstDifference(raster, expected)).toBeUndefined();
    }
  });

  it('interlaced', async () => {
    const data = Buffer.from(sampleValues(pixels * 3, 8));
    const bytes = await sharp(data, { raw: { ...size, channels: 3 } })
      .png({ progressive: true })
      .toBuffer();
    expect(firstDifference((await read('p1.png', bytes)).raster, data)).toBeUndefined();
  });
});

describe('what a PNG says about itself', () => {
  const density = (x: number, y: number, unit: number) => {
    const content = Buffer.alloc(9);
    content.writeUInt32BE(x, 0);
    content.writeUInt32BE(y, 4);
    content[8] = unit;
    return png(2, 8, [['pHYs', content]]);
  };

  it('gives pHYs in pixels per inch, each axis by itself', async () => {
    // 300 and 600 ppi are 11811 and 23622 pixels per metre, rounded.
    expect((await read('p1.png', writePng(density(23622, 11811, 1)))).ppi).toEqual({ x: 600, y: 300 });
    expect((await read('p1.png', writePng(density(11811, 11811, 0)))).ppi).toBeUndefined();
    expect((await read('p1.png', writePng(density(0, 0, 1)))).ppi).toBeUndefined();
    expect((await read('p1.png', writePng(png(2, 8)))).ppi).toBeUndefined();
  });

  it('hands its profile on byte for byte, and says so when it is damaged', async () => {
    const profile = Buffer.from(sampleValues(4000, 8, 5));
    const whole = await read('p1.png', writePng(png(2, 8, [['iCCP', profileChunk(profile)]])));
    expect(profile.equals(whole.profile as Uint8Array)).toBe(true);
    expect(firstDifference(whole.raster, png(2, 8).data)).toBeUndefined();
    const cut = await read('p1.png', writePng(png(2, 8, [['iCCP', profileChunk(profile).subarray(0, 60)]])));
    expect(cut.profile).toBeUndefined();
    expect(codes(cut)).toContain('picture-profile-damaged');
  });

  it('notes that it calls itself sRGB without a profile', async () => {
    expect(codes(await read('p1.png', writePng(png(2, 8, [['sRGB', Buffer.from([0])]]))))).toContain(
      'picture-states-srgb',
    );
  });

  it('is turned as its EXIF block says', async () => {
    const stored = png(0, 8, [['eXIf', exif(6, 600)]]);
    const { raster, ppi, noticed } = await read('p1.png', writePng(stored));
    const expected: number[] = [];
    for (let y = 0; y < size.width; y++) {
      for (let x = 0; x < size.height; x++)
        expected.push(stored.data[(size.height - 1 - x) * size.width + y]);
    }
    expect([raster.width, raster.height, ppi]).toEqual([size.height, size.width, { x: 600, y: 600 }]);
    expect(firstDifference(raster, expected)).toBeUndefined();
    expect(noticed.map((finding) => finding.code)).toEqual(['picture-turned']);
  });

  it('is refused when its end is missing, even if every row is there', async () => {
    const bytes = writePng(png(2, 8));
    for (const cut of [1, 12, 20]) {
      await expect(read('p1.png', bytes.subarray(0, bytes.length - cut))).rejects.toMatchObject({
        code: 'picture-unreadable',
      });
    }
    const trailing = await read('p1.png', Buffer.concat([bytes, Buffer.from('more')]));
    expect(firstDifference(trailing.raster, png(2, 8).data)).toBeUndefined();
  });
});

describe('a JPEG', () => {
  const flat = (channels: 1 | 3, value: number[]) =>
    sharp(Buffer.from(new Array(pixels).fill(value).flat()), { raw: { ...size, channels } });

  it('arrives as grey or RGB', async () => {
    const grey = await read('p1.jpg', await flat(1, [77]).toColourspace('b-w').jpeg().toBuffer());
    expect([grey.raster.model, grey.raster.data[0], grey.bitsPerSample]).toEqual(['grey', 77, 8]);
    const rgb = await read('p1.jpg', await flat(3, [200, 60, 30]).jpeg({ quality: 100 }).toBuffer());
    expect(rgb.raster.model).toBe('rgb');
    for (const [i, value] of [200, 60, 30].entries())
      expect(Math.abs(rgb.raster.data[i] - value)).toBeLessThan(4);
  });

  it('in CMYK keeps its polarity: 0 is no ink', async () => {
    const plane = (value: number) => Buffer.alloc(pixels, value);
    const raw = { raw: { ...size, channels: 1 } } as const;
    const bytes = await sharp(plane(10), raw)
      .joinChannel([plane(90), plane(180), plane(240)], raw)
      .toColourspace('cmyk')
      .jpeg({ quality: 100, chromaSubsampling: '4:4:4' })
      .toBuffer();
    const { raster, noticed } = await read('p1.jpg', bytes);
    expect(raster.model).toBe('cmyk');
    for (const [i, ink] of [10, 90, 180, 240].entries())
      expect(Math.abs(raster.data[i] - ink)).toBeLessThan(4);
    expect(noticed).toEqual([]);
  });

  it('states its resolution in JFIF or EXIF, and its orientation in EXIF', async () => {
    const jfif = await read('p1.jpg', await flat(3, [9, 9, 9]).withDensity(400).jpeg().toBuffer());
    expect(jfif.ppi).toEqual({ x: 400, y: 400 });
    const plain = await flat(3, [9, 9, 9]).jpeg().toBuffer();
    expect((await read('p1.jpg', plain)).ppi).toBeUndefined();
    const block = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), exif(8, 350)]);
    const segment = Buffer.concat([Buffer.from([0xff, 0xe1, 0, 0]), block]);
    segment.writeUInt16BE(block.length + 2, 2);
    const turned = await read('p1.jpg', Buffer.concat([plain.subarray(0, 2), segment, plain.subarray(2)]));
    expect([turned.width, turned.height, turned.ppi]).toEqual([size.height, size.width, { x: 350, y: 350 }]);
    expect(codes(turned)).toEqual(['picture-turned']);
  });

  it('is refused without its end marker, also when zeros stand in its place', async () => {
    const noise = Buffer.from(sampleValues(pixels * 3, 8));
    const bytes = await sharp(noise, { raw: { ...size, channels: 3 } })
      .jpeg()
      .toBuffer();
    for (const bad of [bytes.subarray(0, -1), Buffer.from(bytes).fill(0, bytes.length - 200)]) {
      await expect(read('p1.jpg', bad)).rejects.toMatchObject({ code: 'picture-unreadable' });
    }
    const trailing = await read('p1.jpg', Buffer.concat([bytes, Buffer.alloc(100_000, 7)]));
    expect(trailing.width).toBe(size.width);
  });

  it('with a long stretch of zero bytes asks for a look', async () => {
    const side = { width: 400, height: 400 };
    const noise = Buffer.from(sampleValues(400 * 400 * 3, 8));
    const bytes = await sharp(noise, { raw: { ...side, channels: 3 } })
      .jpeg()
      .toBuffer();
    expect(codes(await read('p1.jpg', bytes))).toEqual([]);
    const holed = Buffer.from(bytes).fill(0, bytes.length - 9000, bytes.length - 3000);
    expect(codes(await read('p1.jpg', holed))).toEqual(['picture-zero-stretch']);
  });

  it('of flat art asks for no look, whose area its encoder writes as zeros, but where whole sectors are lost', async () => {
    const { width, height } = { width: 1000, height: 1500 };
    const art = Buffer.alloc(width * height * 3, 235);
    // Balloons above, and below a paper that nobody drew on.
    for (let i = 0; i < (art.length * 2) / 5; i++) if ((i >> 6) % 7 === 0) art[i] = 40;
    const encoder = sharp(art, { raw: { width, height, channels: 3 } });
    for (const progressive of [false, true]) {
      const bytes = await encoder.clone().jpeg({ chromaSubsampling: '4:4:4', progressive }).toBuffer();
      expect(codes(await read('p1.jpg', bytes))).toEqual([]);
      if (progressive) continue;
      expect(bytes.includes(Buffer.alloc(4096))).toBe(true);
      const holed = Buffer.from(bytes).fill(0, 20 * 512, 30 * 512);
      expect(codes(await read('p1.jpg', holed))).toEqual(['picture-zero-stretch']);
    }
  });

  it('hands its profile on whole', async () => {
    const bytes = await flat(3, [9, 9, 9]).withIccProfile('p3').jpeg().toBuffer();
    const { profile } = await read('p1.jpg', bytes);
    expect((await sharp(bytes).metadata()).icc?.equals(profile as Uint8Array)).toBe(true);
  });
});
