import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { FlatPicture } from '../../../pipeline/model/working-page.js';
import type { DecodeFit } from '../../../pipeline/reading/decode-picture.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { fitSteps } from '../../../pipeline/sizes/fit-steps.js';
import { fitRaster } from '../../../pipeline/sizes/resample.js';
import { firstDifference } from '../../helpers/rasters.js';

const arena = new PageArena();

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-fitted-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const width = 203;
const height = 151;

/** Colours that change from pixel to pixel, so that a shift or another kernel shows. */
function picture(channels: 3 | 4): Sharp {
  const data = Uint8Array.from(
    { length: width * height * channels },
    (_, i) => (i * i * 31 + (i >> 4)) % 256,
  );
  return sharp(data, { raw: { width, height, channels } });
}

const crop = { left: 2, top: 1, width: 198, height: 148 };
const whole = { left: 0, top: 0, width, height };

async function read(name: string, fit?: DecodeFit): Promise<FlatPicture> {
  const found = await readWorkingPicture(
    join(folder, name),
    fit === undefined ? {} : { fit: () => fit },
    arena,
  );
  if (found.kind !== 'flat') throw new Error('a flat picture was written');
  return found;
}

describe('a picture that is brought to its print size while it is decoded', () => {
  const forms: readonly [string, () => Promise<unknown>][] = [
    ['lzw.tif', () => picture(3).tiff({ compression: 'lzw' }).toFile(join(folder, 'lzw.tif'))],
    ['flat.png', () => picture(3).png().toFile(join(folder, 'flat.png'))],
    [
      'deep.tif',
      () =>
        picture(3).toColourspace('rgb16').tiff({ compression: 'deflate' }).toFile(join(folder, 'deep.tif')),
    ],
    [
      'deep.png',
      () => picture(3).toColourspace('rgb16').png({ palette: false }).toFile(join(folder, 'deep.png')),
    ],
  ];

  it.each(forms)('has the numbers of one that is resampled afterwards: %s', async (name, write) => {
    await write();
    const asItIs = await read(name);
    expect(asItIs.raster.data instanceof Uint16Array).toBe(name.startsWith('deep'));
    for (const [part, size] of [
      [crop, { width: 99, height: 74 }],
      [whole, { width: 101, height: 75 }],
      [whole, { width: 300, height: 223 }],
    ] as const) {
      const fitted = await read(name, { crop: part, size });
      const after = await fitRaster(asItIs.raster, { crop: part, effectivePpi: 600 }, size);
      expect(fitted.isFitted).toBe(true);
      expect([fitted.width, fitted.height]).toEqual([width, height]);
      expect([fitted.raster.width, fitted.raster.height]).toEqual([size.width, size.height]);
      const bytes = ({ data }: typeof after) => Buffer.from(data.buffer, data.byteOffset, data.byteLength);
      expect(bytes(fitted.raster).equals(bytes(after))).toBe(true);
    }
  });

  it.each(forms)(
    'has its edge repeated in the same way where it is a pixel short of a whole ratio: %s',
    async (name) => {
      const asItIs = await read(name);
      for (const [box, size] of [
        // Twice, with a column and a row too few; the same at the left and at the top; and one to one.
        [
          { left: 0, top: 0, width: 204, height: 152 },
          { width: 102, height: 76 },
        ],
        [
          { left: -2, top: -1, width: 204, height: 152 },
          { width: 102, height: 76 },
        ],
        [
          { left: -1, top: 0, width: 204, height: 152 },
          { width: 204, height: 152 },
        ],
        [
          { left: 0, top: 0, width: 204, height: 150 },
          { width: 51, height: 50 },
        ],
      ] as const) {
        const steps = fitSteps({ width, height }, box, size);
        const fitted = await read(name, steps);
        const after = await fitRaster(asItIs.raster, { crop: box, effectivePpi: 600 }, size);
        expect(fitted.isFitted).toBe(true);
        expect([fitted.raster.width, fitted.raster.height]).toEqual([size.width, size.height]);
        expect(firstDifference(fitted.raster, after)).toBeUndefined();
      }
    },
  );

  const others: readonly [string, string, () => Promise<unknown>][] = [
    ['JPEG', 'page.jpg', () => picture(3).jpeg().toFile(join(folder, 'page.jpg'))],
    ['alpha', 'alpha.png', () => picture(4).png().toFile(join(folder, 'alpha.png'))],
    [
      'a picture that is to be turned',
      'turned.tif',
      () =>
        picture(3)
          .withMetadata({ orientation: 6 })
          .tiff({ compression: 'lzw' })
          .toFile(join(folder, 'turned.tif')),
    ],
    ['grey', 'grey.png', () => picture(3).toColourspace('b-w').png().toFile(join(folder, 'grey.png'))],
  ];

  it.each(others)('arrives as it is where that would not hold: %s', async (_, name, write) => {
    await write();
    const found = await read(name, { crop, size: { width: 99, height: 74 } });
    expect(found.isFitted).toBe(false);
    expect([found.raster.width, found.raster.height]).toEqual([found.width, found.height]);
  });
});
