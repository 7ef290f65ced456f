import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { halveAcross } from '../../../pipeline/kernels/halve-across.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';

const arena = new PageArena();

/** Noise of every value from a seed, then hard edges of black and white, where a sum passes both ends. */
function picture(width: number, height: number): Uint8Array {
  let seed = width * 31 + height;
  return Uint8Array.from({ length: width * height * 3 }, (_, i) => {
    seed = (Math.imul(seed, 1103515245) + 12345) >>> 0;
    return i % 7 < 4 ? seed >>> 24 : seed & 0x10000 ? 255 : 0;
  });
}

/** The same by the image library: libvips 8.18, which halves rows in the same fixed-point numbers. */
async function byLibrary(data: Uint8Array, width: number, height: number): Promise<Uint8Array> {
  return sharp(data, { raw: { width, height, channels: 3 } })
    .resize(width / 2, height, { fit: 'fill', kernel: 'lanczos3' })
    .toColourspace('srgb')
    .raw()
    .toBuffer();
}

describe('rows that are halved by ourselves', () => {
  it.each([
    [2, 1],
    [8, 3],
    [22, 5],
    [64, 9],
    [2178, 40],
    [4350, 23],
  ])('have the numbers of the image library, %i pixels wide', async (width, height) => {
    const data = picture(width, height);
    const halved = halveAcross(data, { width: width / 2, height }, arena);
    expect(Buffer.compare(halved, await byLibrary(data, width, height))).toBe(0);
    arena.reset();
  });

  it('keep a plain colour to the edges', () => {
    const data = new Uint8Array(40 * 3).fill(201);
    expect([...halveAcross(data, { width: 20, height: 1 }, arena)]).toEqual(new Array(60).fill(201));
    arena.reset();
  });

  it('stand in the arena, where kernels find them without copying', () => {
    const halved = halveAcross(picture(40, 4), { width: 20, height: 4 }, arena);
    expect(arena.has(halved)).toBe(true);
    arena.reset();
  });
});
