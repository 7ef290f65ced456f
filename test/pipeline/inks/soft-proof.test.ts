import { beforeAll, describe, expect, it } from 'vitest';
import { exactTransform, loadProfile } from '../../../config/press/colour-engine.js';
import { openPress, type Press } from '../../../config/press.js';
import { openSoftProofer, type SoftProofer } from '../../../pipeline/inks/soft-proof.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { seeded } from '../../helpers/stack-builder.js';

const arena = new PageArena();

let press: Press;
let proofer: SoftProofer;
beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'cgats-tr002' });
  proofer = openSoftProofer(press);
});

/** Pixels side by side, each of four inks. */
function inksOf(...inks: (readonly number[])[]): Raster {
  return {
    width: inks.length,
    height: 1,
    model: 'cmyk',
    alpha: false,
    data: Uint8Array.from(inks.flat()),
  };
}

describe('a soft proof', () => {
  it('shows bare paper as the white of the screen, or in its own colour when asked', () => {
    const paper = inksOf([0, 0, 0, 0]);
    expect([...proofer.proof(paper, { paperWhite: false }, arena).data]).toEqual([255, 255, 255]);
    const [red = 0, green = 0, blue = 0] = proofer.proof(paper, { paperWhite: true }, arena).data;
    // Newsprint of CGATS TR 002: Lab 80 0 3.5, in sRGB about 202 198 191.
    expect(Math.abs(red - 202)).toBeLessThan(5);
    expect(Math.abs(green - 198)).toBeLessThan(5);
    expect(Math.abs(blue - 191)).toBeLessThan(5);
  });

  it('shows a dull black as one', () => {
    const [red = 0] = proofer.proof(inksOf([0, 0, 0, 255]), { paperWhite: true }, arena).data;
    expect(red).toBeGreaterThan(60);
    expect(red).toBeLessThan(110);
  });

  it.each([true, false])(
    'agrees with the exact conversion of every mix of inks (paper white %s)',
    (paperWhite) => {
      const random = seeded(8);
      const inks = Array.from({ length: 3000 }, () =>
        Array.from({ length: 4 }, () => Math.floor(random() * 256)),
      );
      const shown = proofer.proof(inksOf(...inks), { paperWhite }, arena).data;
      const exact = exactTransform({
        from: loadProfile(press.profile),
        to: 'srgb',
        intent: paperWhite ? 'absolute' : 'relative',
        blackPointCompensation: false,
      });
      let far = 0;
      inks.forEach((ink, pixel) => {
        const wanted = exact(ink.map((value) => value / 255));
        const off = Math.max(...wanted.map((v, channel) => Math.abs(v * 255 - shown[pixel * 3 + channel])));
        if (off > 3) far++;
      });
      expect(far / inks.length).toBeLessThan(0.02);
    },
  );

  it('is as large as the inks, in the order of their pixels', () => {
    const width = 500;
    const height = 300;
    const data = new Uint8Array(width * height * 4);
    data[(width * 299 + 7) * 4 + 1] = 255;
    const inks = { width, height, model: 'cmyk', alpha: false, data } as const;
    const made = proofer.proof(inks, { paperWhite: false }, arena);
    expect([made.width, made.height, made.model, made.data.length]).toEqual([
      width,
      height,
      'rgb',
      width * height * 3,
    ]);
    const at = (width * 299 + 7) * 3;
    expect(made.data[at]).toBeGreaterThan(made.data[at + 1] + 60);
    expect([...made.data.subarray(at - 3, at)]).toEqual([255, 255, 255]);
  });

  it('is refused for anything but inks', () => {
    const { data } = inksOf([0, 0, 0, 0]);
    const picture = { width: 1, height: 1, model: 'rgb', alpha: true, data } as const;
    expect(() => proofer.proof(picture, { paperWhite: false }, arena)).toThrow(/only inks/);
  });
});
