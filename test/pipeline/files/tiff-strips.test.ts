import { expect, test } from 'vitest';
import { packStrips } from '../../../pipeline/files/tiff-strips.js';
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
      const first = Buffer.concat(await packStrips(picture, arena));
      for (let again = 0; again < 3; again++) {
        await packStrips(plane(90, 120), arena);
        await packStrips(plane(900, 120), arena);
        expect(Buffer.concat(await packStrips(picture, arena)).equals(first)).toBe(true);
      }
    }
  },
);
