import { basename } from 'node:path';
import { deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { decode } from 'tiff';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { ColourModel } from '../../../pipeline/model/raster.js';
import type { FlatPicture } from '../../../pipeline/model/working-page.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { firstDifference, type Scratch, sampleValues, scratchFolder } from '../../helpers/picture-samples.js';
import {
  oldStyleLzw,
  rational,
  short,
  type TiffLayout,
  type TiffPicture,
  writeTiff,
} from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();

let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

const size = { width: 37, height: 29 };

function picture(
  photometric: number,
  samples: number,
  bits: number,
  more: Partial<TiffPicture> = {},
): TiffPicture {
  const data = sampleValues(size.width * size.height * samples, bits, samples * 100 + bits);
  return { ...size, photometric, samples, bits, data, ...more };
}

async function read(bytes: Uint8Array, name = 'p07.tif', index?: number): Promise<FlatPicture> {
  const path = await scratch.file(name, bytes);
  const result = await readWorkingPicture(path, { picture: index }, arena);
  if (result.kind !== 'flat') throw new Error('expected a flat picture');
  return result;
}

const refusal = (bytes: Uint8Array, name?: string, index?: number) =>
  read(bytes, name, index).then(
    () => undefined,
    (error: { code: string; message: string }) => error,
  );

const compressions = [
  [1, 'uncompressed'],
  [5, 'LZW'],
  [8, 'deflate'],
  [32773, 'PackBits'],
] as const;

const layouts: readonly (readonly [string, TiffLayout])[] = [
  ['little-endian', {}],
  ['big-endian', { bigEndian: true }],
  ['BigTIFF', { big: true }],
  ['big-endian BigTIFF, directory first', { big: true, bigEndian: true, directoryFirst: true }],
];

const kinds: readonly (readonly [string, number, number, readonly number[], ColourModel])[] = [
  ['grey, black is zero', 1, 1, [1, 2, 4, 8, 16], 'grey'],
  ['grey, white is zero', 0, 1, [1, 2, 4, 8, 16], 'grey'],
  ['RGB', 2, 3, [8, 16], 'rgb'],
  ['CMYK', 5, 4, [8, 16], 'cmyk'],
];

/** What arrives: grey runs from black to white whatever the file does, and few bits spread over 0 to 255. */
function arriving(data: ArrayLike<number>, photometric: number, bits: number): number[] {
  const max = 2 ** bits - 1;
  const scale = bits < 8 ? 255 / max : 1;
  return Array.from(data, (value) => (photometric === 0 ? max - value : value) * scale);
}

describe('a TIFF arrives number for number', () => {
  for (const [kind, photometric, samples, depths, model] of kinds) {
    for (const bits of depths) {
      for (const [compression, scheme] of compressions) {
        it(`${kind}, ${bits} bit, ${scheme}, in every byte order`, async () => {
          for (const [, layout] of layouts) {
            const stored = picture(photometric, samples, bits, { compression, rowsPerStrip: 8 });
            const { raster, bitsPerSample } = await read(writeTiff([stored], layout));
            expect([raster.model, raster.alpha, bitsPerSample]).toEqual([model, false, bits]);
            expect(raster.data instanceof Uint16Array).toBe(bits === 16);
            expect(firstDifference(raster, arriving(stored.data, photometric, bits))).toBeUndefined();
          }
        });
      }
    }
  }

  for (const [layout, more] of [
    ['one strip', {}],
    ['separate planes', { planar: true, rowsPerStrip: 5 }],
    ['tiles', { tile: { width: 16, height: 16 } }],
    ['tiles in separate planes', { planar: true, tile: { width: 16, height: 32 } }],
  ] as const) {
    it(`in ${layout}`, async () => {
      for (const [, photometric, samples, depths] of kinds) {
        for (const bits of depths.filter((depth) => depth === 8 || depth === 16)) {
          for (const compression of [1, 5]) {
            for (const bigEndian of [false, true]) {
              const stored = picture(photometric, samples, bits, { ...more, compression });
              const { raster } = await read(writeTiff([stored], { bigEndian }));
              expect(firstDifference(raster, arriving(stored.data, photometric, bits))).toBeUndefined();
            }
          }
        }
      }
    });
  }

  it('with horizontal differencing, also in tiles of separate planes', async () => {
    for (const more of [{}, { planar: true, tile: { width: 16, height: 16 } }]) {
      const stored = picture(2, 3, 8, { compression: 5, predictor: true, ...more });
      const { raster } = await read(writeTiff([stored]));
      expect(firstDifference(raster, stored.data)).toBeUndefined();
    }
  });

  it('through a palette, in 16-bit entries and in the 8-bit ones of careless writers', async () => {
    for (const bits of [1, 2, 4, 8]) {
      for (const factor of [257, 1]) {
        const entries = sampleValues(3 * 2 ** bits, 8, bits);
        const colourMap = short(...entries.map((entry) => entry * factor));
        const stored = picture(3, 1, bits, { tags: { 320: colourMap } });
        const { raster, bitsPerSample } = await read(writeTiff([stored]));
        const expected = Array.from(stored.data).flatMap((index) =>
          [0, 1, 2].map((channel) => entries[channel * 2 ** bits + index]),
        );
        expect([raster.model, raster.alpha, bitsPerSample]).toEqual(['rgb', false, 8]);
        expect(firstDifference(raster, expected)).toBeUndefined();
      }
    }
  });

  it('as CCITT G4 in both polarities, with the same black', async () => {
    const line = Buffer.from(sampleValues(size.width * size.height, 1, 9).map((bit) => bit * 255));
    for (const miniswhite of [false, true]) {
      const bytes = await sharp(line, { raw: { ...size, channels: 1 } })
        .toColourspace('b-w')
        .tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite })
        .toBuffer();
      const { raster, bitsPerSample } = await read(bytes);
      expect([raster.model, bitsPerSample]).toEqual(['grey', 1]);
      expect(firstDifference(raster, line)).toBeUndefined();
    }
  });

  it('in one large strip beyond the memory limit that the decoder sets by itself', async () => {
    const [width, height] = [4350, 4200];
    const noise = new Uint8Array(width * height * 3);
    let state = 1;
    for (let i = 0; i < noise.length; i++) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      noise[i] = state >>> 24;
    }
    const stored: TiffPicture = {
      width,
      height,
      samples: 3,
      bits: 8,
      photometric: 2,
      data: [],
      compression: 8,
      encoded: [deflateSync(noise, { level: 1 })],
    };
    const { raster } = await read(writeTiff([stored]));
    expect(Buffer.from(raster.data.buffer, raster.data.byteOffset, raster.data.length).equals(noise)).toBe(
      true,
    );
  });
});

describe('an independent decoder (npm tiff 7) sees the same numbers', () => {
  // It knows no CMYK, no planar strips and no BigTIFF; it gives white-is-zero 8-bit grey turned to black-is-zero.
  for (const [kind, photometric, samples, bits] of [
    ['1-bit line art', 1, 1, 1],
    ['8-bit grey', 1, 1, 8],
    ['16-bit grey', 1, 1, 16],
    ['8-bit RGB', 2, 3, 8],
    ['16-bit RGB', 2, 3, 16],
    ['8-bit RGB with alpha', 2, 4, 8],
  ] as const) {
    it(kind, async () => {
      for (const compression of bits === 1 ? [1] : [1, 5, 8]) {
        const extraSamples = samples === 4 ? { extraSamples: [2] } : {};
        const bytes = writeTiff([picture(photometric, samples, bits, { compression, ...extraSamples })]);
        const { raster } = await read(bytes);
        const other = decode(bytes)[0];
        const values = Array.from(other.data as Uint8Array, (value) => (bits === 1 ? value * 255 : value));
        expect(firstDifference(raster, values)).toBeUndefined();
      }
    });
  }
});

describe('channels beyond the colours', () => {
  it('keeps declared alpha beside every colour model', async () => {
    for (const [photometric, samples, model] of [
      [1, 2, 'grey'],
      [0, 2, 'grey'],
      [2, 4, 'rgb'],
      [5, 5, 'cmyk'],
    ] as const) {
      for (const bits of [8, 16]) {
        for (const planar of [false, true]) {
          const stored = picture(photometric, samples, bits, { extraSamples: [2], planar, compression: 5 });
          const { raster } = await read(writeTiff([stored]));
          const max = 2 ** bits - 1;
          const expected = Array.from(stored.data, (value, i) =>
            photometric === 0 && i % 2 === 0 ? max - value : value,
          );
          expect([raster.model, raster.alpha]).toEqual([model, true]);
          expect(firstDifference(raster, expected)).toBeUndefined();
        }
      }
    }
  });

  it('divides premultiplied colours by their alpha, rounded to the nearest value', async () => {
    for (const [photometric, samples] of [
      [1, 2],
      [2, 4],
      [5, 5],
    ] as const) {
      for (const bits of [8, 16]) {
        for (const more of [{}, { planar: true, tile: { width: 16, height: 16 } }]) {
          const stored = picture(photometric, samples, bits, { extraSamples: [1], compression: 8, ...more });
          const { raster } = await read(writeTiff([stored], { bigEndian: bits === 16 }));
          const max = 2 ** bits - 1;
          const expected = Array.from(stored.data, (value, i) => {
            const alpha = stored.data[i - (i % samples) + samples - 1];
            if (i % samples === samples - 1) return value;
            return alpha === 0 ? 0 : Math.min(max, Math.round((value * max) / alpha));
          });
          expect(firstDifference(raster, expected)).toBeUndefined();
        }
      }
    }
  });

  it('leaves saved selections out and asks for a look', async () => {
    for (const [photometric, samples, extraSamples, kept] of [
      [2, 4, [0], [0, 1, 2]],
      [2, 6, [0, 2, 0], [0, 1, 2, 4]],
      [1, 2, [0], [0]],
      [1, 3, [2, 0], [0, 1]],
    ] as const) {
      for (const bits of [8, 16]) {
        const stored = picture(photometric, samples, bits, { extraSamples });
        const { raster, noticed } = await read(writeTiff([stored]));
        const expected = Array.from(stored.data).filter((_, i) =>
          kept.some((channel) => channel === i % samples),
        );
        expect(firstDifference(raster, expected)).toBeUndefined();
        expect(noticed.map(({ code, severity }) => [code, severity])).toContainEqual([
          'picture-extra-channels',
          'warn',
        ]);
      }
    }
  });

  it('counts undeclared fourth channels of RGB as no transparency (TIFF 6.0, ExtraSamples)', async () => {
    const stored = picture(2, 4, 8);
    const { raster } = await read(writeTiff([stored]));
    expect([raster.alpha, raster.data.length]).toEqual([false, size.width * size.height * 3]);
  });

  it('refuses CMYK with spot inks instead of dropping them', async () => {
    const error = await refusal(writeTiff([picture(5, 6, 8, { extraSamples: [2, 0] })]));
    expect(error).toMatchObject({ code: 'picture-unsupported' });
    expect(error?.message).toMatch(/spot inks/);
  });
});

describe('what stands in the directory', () => {
  const plain = picture(2, 3, 8);
  const ppiOf = async (tags: TiffPicture['tags'], layout?: TiffLayout) =>
    (await read(writeTiff([{ ...plain, ...(tags ? { tags } : {}) }], layout))).ppi;

  it('gives the resolution in pixels per inch, each axis by itself', async () => {
    const xy = { 282: rational([600, 1]), 283: rational([300, 1]) };
    expect(await ppiOf({ ...xy, 296: short(2) })).toEqual({ x: 600, y: 300 });
    expect(await ppiOf(xy)).toEqual({ x: 600, y: 300 });
    expect(await ppiOf({ ...xy, 296: short(2) }, { big: true, bigEndian: true })).toEqual({ x: 600, y: 300 });
    // 300 ppi in centimetres, as programs write it: 118.11 and 118.1102.
    const cm = { 282: rational([11811, 100]), 283: rational([1181102, 10000]), 296: short(3) };
    expect(await ppiOf(cm)).toEqual({ x: 300, y: 300 });
  });

  it('states no resolution where the file states none, without a unit, or nonsense', async () => {
    const xy = { 282: rational([600, 1]), 283: rational([600, 1]) };
    expect(await ppiOf({})).toBeUndefined();
    expect(await ppiOf({ ...xy, 296: short(1) })).toBeUndefined();
    expect(await ppiOf({ 282: rational([1, 1]), 283: rational([1, 1]), 296: short(2) })).toBeUndefined();
    expect(await ppiOf({ 282: rational([300, 0]), 283: rational([300, 1]), 296: short(2) })).toBeUndefined();
    expect(await ppiOf({ 282: rational([0, 0]), 283: rational([300, 1]), 296: short(2) })).toBeUndefined();
  });

  it('hands the profile on byte for byte and converts nothing by it', async () => {
    const profile = (
      await sharp({ create: { ...size, channels: 3, background: 'red' } })
        .withIccProfile('p3')
        .png()
        .toBuffer()
        .then((png) => sharp(png).metadata())
    ).icc as Buffer;
    const tagged = { ...plain, tags: { 34675: { type: 'undefined', values: profile } } } as const;
    const result = await read(writeTiff([tagged]));
    expect(profile.equals(result.profile as Uint8Array)).toBe(true);
    expect(firstDifference(result.raster, plain.data)).toBeUndefined();
    expect((await read(writeTiff([plain]))).profile).toBeUndefined();
  });

  it('turns the picture upright for each of the eight orientations', async () => {
    const { width, height } = size;
    const at = (x: number, y: number) =>
      Array.from(plain.data).slice((y * width + x) * 3, (y * width + x) * 3 + 3);
    // Where the pixel at x, y of the upright picture is stored (TIFF 6.0 page 36, tag 274).
    const stored: Record<number, (x: number, y: number) => [number, number]> = {
      1: (x, y) => [x, y],
      2: (x, y) => [width - 1 - x, y],
      3: (x, y) => [width - 1 - x, height - 1 - y],
      4: (x, y) => [x, height - 1 - y],
      5: (x, y) => [y, x],
      6: (x, y) => [y, height - 1 - x],
      7: (x, y) => [width - 1 - y, height - 1 - x],
      8: (x, y) => [width - 1 - y, x],
    };
    for (let orientation = 1; orientation <= 8; orientation++) {
      const tags = { 274: short(orientation), 282: rational([600, 1]), 283: rational([300, 1]) };
      const { raster, ppi, noticed } = await read(writeTiff([{ ...plain, tags }]));
      const exchanged = orientation >= 5;
      expect([raster.width, raster.height]).toEqual(exchanged ? [height, width] : [width, height]);
      expect(ppi).toEqual(exchanged ? { x: 300, y: 600 } : { x: 600, y: 300 });
      const expected: number[] = [];
      for (let y = 0; y < raster.height; y++) {
        for (let x = 0; x < raster.width; x++) expected.push(...at(...stored[orientation](x, y)));
      }
      expect(firstDifference(raster, expected)).toBeUndefined();
      expect(noticed.map((finding) => finding.code)).toEqual(orientation === 1 ? [] : ['picture-turned']);
    }
  });

  it('turns CMYK, 16 bit, line art and separate planes upright too', async () => {
    for (const [photometric, samples, bits, more] of [
      [5, 4, 8, {}],
      [5, 4, 16, { planar: true, tile: { width: 16, height: 16 } }],
      [1, 1, 1, {}],
      [2, 4, 16, { extraSamples: [1] }],
    ] as const) {
      const stored = picture(photometric, samples, bits, more);
      const upright = await read(writeTiff([stored]));
      const turned = await read(writeTiff([{ ...stored, tags: { 274: short(3) } }]));
      const pixels = size.width * size.height;
      const expected = Array.from(upright.raster.data, (_, i) => {
        const pixel = pixels - 1 - Math.floor(i / samples);
        return upright.raster.data[pixel * samples + (i % samples)];
      });
      expect(firstDifference(turned.raster, expected)).toBeUndefined();
    }
  });
});

describe('a file with several pictures', () => {
  const first = picture(2, 3, 8);
  const second: TiffPicture = { ...picture(5, 4, 16), width: 20, height: 10 };
  const thumbnail: TiffPicture = { ...picture(2, 3, 8), width: 8, height: 6, tags: { 254: short(1) } };
  const mask: TiffPicture = { ...picture(1, 1, 1), tags: { 254: short(4) } };

  it('is refused with a line for job.yaml until a picture is picked', async () => {
    const bytes = writeTiff([first, second]);
    const error = await refusal(bytes, 'x.tif');
    expect(error).toMatchObject({ code: 'picture-unsupported' });
    expect(error?.message).toMatch(/holds 2 pictures/);
    expect(error?.message).toMatch(/names: \{"[^"]*x\.tif": \{page: 7, part: line, picture: 2\}\}/);
    const one = await read(bytes, 'x.tif', 1);
    expect(firstDifference(one.raster, first.data)).toBeUndefined();
    const two = await read(bytes, 'x.tif', 2);
    expect([two.width, two.height, two.raster.model, two.bitsPerSample]).toEqual([20, 10, 'cmyk', 16]);
    expect(await refusal(bytes, 'x.tif', 3)).toMatchObject({ code: 'picture-unsupported' });
    expect(await refusal(bytes, 'x.tif', 0)).toMatchObject({ code: 'picture-unsupported' });
  });

  it('counts neither a reduced copy nor a mask as a picture', async () => {
    const { raster } = await read(writeTiff([thumbnail, first, mask]));
    expect(firstDifference(raster, first.data)).toBeUndefined();
    const second = await read(writeTiff([thumbnail, first, mask, first]), 'y.tif', 2);
    expect(firstDifference(second.raster, first.data)).toBeUndefined();
  });
});

describe('what cannot be taken as it is', () => {
  for (const [what, stored, cause] of [
    ['ZSTD', picture(2, 3, 8, { tags: { 259: short(50000) } }), /ZSTD/],
    ['JPEG 2000', picture(2, 3, 8, { tags: { 259: short(34712) } }), /JPEG 2000/],
    ['Lab', picture(8, 3, 8), /CIE Lab/],
    ['float samples', picture(2, 3, 16, { tags: { 339: short(3, 3, 3) } }), /floating point/],
    ['32 bit samples', picture(2, 3, 16, { tags: { 258: short(32, 32, 32) } }), /32 bits/],
    ['channels of unlike depth', picture(2, 3, 8, { tags: { 258: short(5, 6, 5) } }), /5, 6, 5/],
    ['48 bit grey', picture(1, 1, 8, { tags: { 258: short(48) } }), /48 bits per channel and 1 channel\./],
    [
      'old-style LZW',
      picture(1, 1, 8, { compression: 5, encoded: [oldStyleLzw(Uint8Array.from(picture(1, 1, 8).data))] }),
      /old-style LZW/,
    ],
    ['inks that are not CMYK', picture(5, 4, 8, { tags: { 332: short(2) } }), /process inks/],
  ] as const) {
    it(`${what}: the refusal names the cause and says how to save instead`, async () => {
      const error = await refusal(writeTiff([stored]), 'cover.tif');
      expect(error).toMatchObject({ code: 'picture-unsupported' });
      expect(error?.message).toMatch(cause);
      expect(error?.message).toMatch(/[Ss]ave it again/);
      expect(basename((error as unknown as { place: { file: string } }).place.file)).toBe('cover.tif');
    });
  }
});
