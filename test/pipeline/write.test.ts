import { createHash } from 'node:crypto';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { withPlane } from '../../pipeline/model/separation.js';
import { encodeComposite, encodeLinePlate, encodePicture, encodePlate } from '../../pipeline/write.js';
import { drawLineSamples, drawLines, drawSeparation, planesOf } from '../helpers/plates.js';

const arena = new PageArena();

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

/** Red, green, blue and black quarters with a ramp across. */
function picture(width: number, height: number): Raster {
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const quarter = (i % width < width / 2 ? 0 : 1) + (i < (width * height) / 2 ? 0 : 2);
    if (quarter < 3) data[i * 3 + quarter] = 128 + (i % width);
  }
  return { width, height, model: 'rgb', alpha: false, data };
}

describe('press files', () => {
  it('have the same bytes on every run', async () => {
    const separation = drawSeparation(400, 3000);
    const options = { ppi: 300, profile: Buffer.from('profile') };
    const plate = { width: 400, height: 3000, data: planesOf(separation).yellow };
    const once = async (): Promise<string[]> => [
      sha256(Buffer.concat(await encodeComposite(separation, options, arena))),
      sha256(Buffer.concat(await encodePlate(plate, options, arena))),
      sha256(Buffer.concat(await encodeLinePlate(drawLines(400, 300), options))),
    ];
    expect(await once()).toEqual(await once());
  });

  it('are read alike whatever number of strips they take', async () => {
    // One row, fewer rows than a strip, and many strips with a shorter last one (a strip holds 1 MiB).
    for (const height of [1, 7, 2621]) {
      const { cyan } = planesOf(drawSeparation(1000, height));
      const file = Buffer.concat(await encodePlate({ width: 1000, height, data: cyan }, { ppi: 600 }, arena));
      const light = await sharp(file).toColourspace('b-w').raw().toBuffer();
      expect(sha256(light)).toBe(sha256(cyan.map((ink) => 255 - ink)));
    }
  });

  it('keep a resolution that is no whole number to a thousandth', async () => {
    const file = Buffer.concat(await encodeLinePlate(drawLines(40, 30), { ppi: 299.9994 }));
    expect((await sharp(file).metadata()).density).toBe(300);
    expect(file.includes(Buffer.from(Uint32Array.of(299999, 1000).buffer))).toBe(true);
  });

  it('hold the line as it is, wherever its bits begin in memory', async () => {
    const lines = drawLines(101, 50);
    const shifted = new Uint8Array(lines.bits.length + 3);
    shifted.set(lines.bits, 3);
    const plain = Buffer.concat(await encodeLinePlate(lines, { ppi: 600 }));
    const moved = Buffer.concat(await encodeLinePlate({ ...lines, bits: shifted.subarray(3) }, { ppi: 600 }));
    expect(moved.equals(plain)).toBe(true);
    const light = await sharp(plain).toColourspace('b-w').raw().toBuffer();
    expect([...light]).toEqual(Array.from(drawLineSamples(101, 50).data, (ink) => 255 - ink));
  });

  it('are refused when a plane has the wrong length', async () => {
    const separation = drawSeparation(10, 10);
    const { cyan, yellow } = planesOf(separation);
    const wrong = withPlane(separation, 'yellow', yellow.subarray(1));
    await expect(encodeComposite(wrong, { ppi: 300, profile: Buffer.alloc(1) }, arena)).rejects.toThrow(
      /expected 100 samples/,
    );
    const plate = { width: 9, height: 10, data: cyan };
    await expect(encodePlate(plate, { ppi: 300 }, arena)).rejects.toThrow(
      /expected 90 samples but received 100/,
    );
  });
});

describe('pictures for people', () => {
  it('lose nothing as PNG, and say that they are sRGB at their resolution', async () => {
    const raster = picture(120, 80);
    const file = await encodePicture(raster, { ppi: 150, format: 'png' });
    const facts = await sharp(file).metadata();
    expect(facts).toMatchObject({
      format: 'png',
      width: 120,
      height: 80,
      channels: 3,
      depth: 'uchar',
      density: 150,
    });
    expect(facts.icc?.subarray(36, 40).toString()).toBe('acsp');
    const pixels = await sharp(file, { ignoreIcc: true }).raw().toBuffer();
    expect(pixels.equals(Buffer.from(raster.data as Uint8Array))).toBe(true);
  });

  it('keep colour at full resolution as JPEG, and say that they are sRGB at their resolution', async () => {
    const raster = picture(120, 80);
    const file = await encodePicture(raster, { ppi: 150, format: 'jpeg' });
    const facts = await sharp(file).metadata();
    expect(facts).toMatchObject({
      format: 'jpeg',
      chromaSubsampling: '4:4:4',
      density: 150,
      isProgressive: false,
    });
    expect(facts.icc?.subarray(36, 40).toString()).toBe('acsp');
    const pixels = await sharp(file, { ignoreIcc: true }).raw().toBuffer();
    let worst = 0;
    for (let i = 0; i < pixels.length; i++) worst = Math.max(worst, Math.abs(pixels[i] - raster.data[i]));
    // Hard edges ring; with colour at half resolution the worst pixel here is off by more than 100.
    expect(worst).toBeLessThan(40);
  });

  it.each(['png', 'jpeg'] as const)('have the same bytes on every run as %s', async (format) => {
    const once = async (): Promise<string> =>
      sha256(await encodePicture(picture(50, 40), { ppi: 72, format }));
    expect(await once()).toBe(await once());
  });

  it('are rgb of 8 bit without alpha, or refused', async () => {
    const raster = picture(4, 4);
    const options = { ppi: 72, format: 'png' } as const;
    await expect(encodePicture({ ...raster, alpha: true }, options)).rejects.toThrow(/without alpha/);
    await expect(encodePicture({ ...raster, model: 'cmyk' }, options)).rejects.toThrow(/rgb/);
    await expect(encodePicture({ ...raster, data: new Uint16Array(48) }, options)).rejects.toThrow(/8 bit/);
  });
});
