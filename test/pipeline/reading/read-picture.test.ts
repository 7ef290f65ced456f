import { createHash } from 'node:crypto';
import { utimes } from 'node:fs/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Noticed } from '../../../pipeline/model/findings.js';
import { hashFile } from '../../../pipeline/reading/hash-file.js';
import { type ReadOptions, readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { firstDifference, type Scratch, sampleValues, scratchFolder } from '../../helpers/picture-samples.js';
import { claimSize, writePng } from '../../helpers/png-fixtures.js';
import { short, type TiffPicture, writeTiff } from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();

let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

const size = { width: 64, height: 48 };
const rgb: TiffPicture = {
  ...size,
  samples: 3,
  bits: 8,
  photometric: 2,
  rowsPerStrip: 8,
  data: sampleValues(64 * 48 * 3, 8).map((value) => Math.max(1, value)),
};

async function read(name: string, bytes: Uint8Array, options: ReadOptions = {}) {
  const picture = await readWorkingPicture(await scratch.file(name, bytes), options, arena);
  if (picture.kind !== 'flat') throw new Error('expected a flat picture');
  return picture;
}

interface Refusal {
  readonly code: string;
  readonly message: string;
  readonly remedy: string;
  readonly place: { readonly file?: string };
}

const refusal = (name: string, bytes: Uint8Array, options?: ReadOptions): Promise<Refusal | undefined> =>
  read(name, bytes, options).then(
    () => undefined,
    (error: Refusal) => error,
  );

const codes = (noticed: readonly Noticed[]) => noticed.map(({ code, severity }) => `${code}: ${severity}`);

describe('a working page is told by its content', () => {
  it('and a name that says something else is noted', async () => {
    const tiff = await read('p07.png', writeTiff([rgb]));
    expect([tiff.format, ...codes(tiff.noticed)]).toEqual(['tiff', 'picture-name-mismatch: note']);
    expect(codes((await read('P07.TIFF', writeTiff([rgb]))).noticed)).toEqual([]);
  });

  it('and what is none of the four formats is refused', async () => {
    for (const content of ['%PDF-1.7', 'GIF89a', '<svg xmlns="http://www.w3.org/2000/svg"/>', 'text']) {
      expect(await refusal('p07.tif', Buffer.from(content.padEnd(40)))).toMatchObject({
        code: 'picture-unsupported',
      });
    }
    expect(await refusal('p07.tif', Buffer.alloc(0))).toMatchObject({ code: 'picture-unreadable' });
    expect((await refusal('p07.tif', Buffer.alloc(5000)))?.message).toMatch(/nothing but zero bytes/);
  });

  it('under names with brackets, which a decoder may take for its own options', async () => {
    for (const name of ['p7[page=1].tif', 'p7 [final].tif', 'p7.tif[0]', 'p7.tif[page=3]']) {
      expect(firstDifference((await read(name, writeTiff([rgb]))).raster, rgb.data)).toBeUndefined();
    }
  });

  it('and a refusal names the file as the user knows it', async () => {
    const error = await refusal('p07.tif', Buffer.from('nothing of use'), { name: 'incoming/p07.tif' });
    expect(error?.place).toEqual({ file: 'incoming/p07.tif' });
    expect(error?.message).toMatch(/^incoming\/p07\.tif: /);
    expect(error?.remedy).not.toBe('');
    await expect(readWorkingPicture('/nowhere/at/all.tif', {}, arena)).rejects.toMatchObject({
      code: 'picture-unreadable',
    });
  });
});

describe('limits hold before anything is decoded', () => {
  it('for pixels, for the file and for what it decodes to', async () => {
    const bytes = writeTiff([rgb]);
    expect(await refusal('p.tif', bytes, { limits: { maxPixels: 3000 } })).toMatchObject({
      code: 'picture-too-large',
    });
    expect(await refusal('p.tif', bytes, { limits: { maxFileBytes: 999 } })).toMatchObject({
      code: 'picture-too-large',
    });
    expect(await refusal('p.tif', bytes, { limits: { maxDecodedBytes: 9000 } })).toMatchObject({
      code: 'picture-too-large',
    });
    expect(
      await refusal('p.tif', bytes, { limits: { maxPixels: 3072, maxDecodedBytes: 9216 } }),
    ).toBeUndefined();
  });

  it('for a header that lies about a giant', async () => {
    const png = claimSize(writePng({ ...size, colourType: 2, bits: 8, data: rgb.data }), 40000, 40000);
    expect(await refusal('p.png', png)).toMatchObject({ code: 'picture-too-large' });
  });
});

describe('half a picture never passes for a whole one', () => {
  it('wherever a TIFF is cut, plain or packed, directory first or last', async () => {
    for (const compression of [1, 5, 8, 32773]) {
      for (const directoryFirst of [true, false]) {
        const bytes = writeTiff([{ ...rgb, compression }], { directoryFirst });
        for (const share of [0.1, 0.5, 0.9, 0.999]) {
          const error = await refusal('p07.tif', bytes.subarray(0, Math.floor(bytes.length * share)));
          expect(error, `compression ${compression}, ${share}`).toMatchObject({ code: 'picture-unreadable' });
        }
      }
    }
  });

  it('when strips were never written, which decodes as black without a word', async () => {
    const sparse = writeTiff([
      { ...rgb, tags: { 279: { type: 'long', values: [1536, 1536, 1536, 0, 0, 0] } } },
    ]);
    expect((await refusal('p07.tif', sparse))?.message).toMatch(/strip or tile 4 of 6 was never written/);
  });

  it('when a strip holds fewer bytes than its rows need', async () => {
    const short = writeTiff([
      { ...rgb, tags: { 279: { type: 'long', values: [1536, 1536, 700, 1536, 1536, 1536] } } },
    ]);
    expect((await refusal('p07.tif', short))?.message).toMatch(/strip or tile 3 holds 700 of the 1536 bytes/);
  });

  it('when G4 line art is damaged, though its decoder only warns', async () => {
    const { default: sharp } = await import('sharp');
    const line = Buffer.from(
      Array.from({ length: 64 * 48 }, (_, i) => (((i % 64) * 3 + (i >> 6) * 5) % 41 < 20 ? 255 : 0)),
    );
    const good = await sharp(line, { raw: { ...size, channels: 1 } })
      .toColourspace('b-w')
      .tiff({ compression: 'ccittfax4', bitdepth: 1 })
      .toBuffer();
    const bad = Buffer.from(good);
    bad.fill(0, Math.floor(good.length * 0.4), Math.floor(good.length * 0.6));
    expect(await refusal('inks.tif', bad)).toMatchObject({ code: 'picture-unreadable' });
  });

  it('when a packed strip has a hole of zero bytes, which LZW and PackBits decode without complaint', async () => {
    for (const compression of [5, 32773]) {
      const good = writeTiff([{ ...rgb, compression, rowsPerStrip: 48 }], { directoryFirst: true });
      const bad = Buffer.from(good).fill(0, good.length - 4000, good.length - 2900);
      expect(await refusal('p07.tif', good)).toBeUndefined();
      expect((await refusal('p07.tif', bad))?.message).toMatch(/a stretch of nothing but zero bytes/);
    }
  });

  it('but metadata out of order are only noted', async () => {
    const unended = { type: 'ascii', values: Buffer.from('no end here') } as const;
    const picture = await read('p07.tif', writeTiff([{ ...rgb, tags: { 305: unended } }]));
    expect(codes(picture.noticed)).toEqual(['picture-metadata: note']);
    expect(firstDifference(picture.raster, rgb.data)).toBeUndefined();
  });
});

it('a file that is written to while it is read is refused until it rests', async () => {
  const noise: TiffPicture = {
    ...rgb,
    width: 640,
    height: 480,
    data: sampleValues(640 * 480 * 3, 8),
    compression: 8,
  };
  const path = await scratch.file('busy.tif', writeTiff([noise]));
  let done = false;
  const answer = readWorkingPicture(path, {}, arena).then(
    () => 'read',
    (error: Refusal) => error.message,
  );
  void answer.finally(() => {
    done = true;
  });
  for (let second = 1; !done; second++) await utimes(path, second, second);
  expect(await answer).toMatch(/the file changed while it was read/);
});

describe('a copy that broke off after its room was reserved leaves zeros behind', () => {
  const withTail = (picture: TiffPicture, from: number) => {
    const bytes = writeTiff([picture], { directoryFirst: true });
    return bytes.fill(0, bytes.length - from);
  };

  it('which stops an RGB page that breaks off inside a row', async () => {
    const { noticed } = await read('p07.tif', withTail(rgb, 2000));
    expect(codes(noticed)).toEqual(['picture-tail-empty: stop']);
  });

  it('which is a question where the page may be meant to end in black', async () => {
    const wholeRows = await read('p07.tif', withTail(rgb, 64 * 3 * 10));
    expect(codes(wholeRows.noticed)).toEqual(['picture-tail-empty: warn']);
    const framed = Array.from(rgb.data, (value, i) => (i % 192 >= 150 ? 0 : value));
    const blackAtTheEdge = await read('p07.tif', withTail({ ...rgb, data: framed }, 64 * 3 * 10 + 100));
    expect(codes(blackAtTheEdge.noticed)).toEqual(['picture-tail-empty: warn']);
  });

  it('which is a question where zero is bare paper or transparent', async () => {
    for (const [photometric, samples, extraSamples] of [
      [5, 4, undefined],
      [0, 1, undefined],
      [2, 4, [2]],
    ] as const) {
      const data = sampleValues(64 * 48 * samples, 8).map((value) => Math.max(1, value));
      const picture = { ...rgb, photometric, samples, data, ...(extraSamples ? { extraSamples } : {}) };
      const { noticed } = await read('p07.tif', withTail(picture, 64 * samples * 12 - 30));
      expect(codes(noticed)).toEqual(['picture-tail-empty: warn']);
    }
  });

  it('which no packed picture can end in', async () => {
    const noisy = withTail({ ...rgb, compression: 5 }, 3000);
    expect((await refusal('p07.tif', noisy))?.message).toMatch(/nothing but zero bytes/);
  });

  it('and a few dark rows at the foot are nothing to mention', async () => {
    expect((await read('p07.tif', withTail(rgb, 64 * 3 * 5))).noticed).toEqual([]);
  });
});

it('a picture number asked of a file with one picture is refused unless it is 1', async () => {
  const png = writePng({ ...size, colourType: 2, bits: 8, data: rgb.data });
  expect((await read('p.png', png, { picture: 1 })).format).toBe('png');
  expect(await refusal('p.png', png, { picture: 2 })).toMatchObject({ code: 'picture-unsupported' });
  const error = await refusal('p.tif', writeTiff([{ ...rgb, tags: { 254: short(2) } }]), { picture: 2 });
  expect(error).toMatchObject({ code: 'picture-unsupported' });
});

describe('a file is known by its SHA-256', () => {
  // FIPS 180-4 examples: the empty message from NIST's test vectors, and 'abc' from the standard's example.
  it('as the standard has it', async () => {
    expect(await hashFile(await scratch.file('abc', Buffer.from('abc')))).toEqual({
      sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
      bytes: 3,
    });
    expect((await hashFile(await scratch.file('none', Buffer.alloc(0)))).sha256).toBe(
      'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
    );
  });

  it('over many pieces as over one', async () => {
    const bytes = Buffer.alloc(5_000_001, 'page');
    const { sha256, bytes: length } = await hashFile(await scratch.file('long', bytes));
    expect([sha256, length]).toEqual([createHash('sha256').update(bytes).digest('hex'), bytes.length]);
    await expect(hashFile('/nowhere/at/all.tif')).rejects.toMatchObject({ code: 'picture-unreadable' });
  });
});
