import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { blackTolerance } from '../../../pipeline/layers/black.js';
import { compositeTile } from '../../../pipeline/layers/blend.js';
import { splitLineTile, splitPixel } from '../../../pipeline/layers/ink-split.js';
import { lineSettings, seeded } from '../../helpers/stack-builder.js';

const arena = new PageArena();

describe('a pixel parted into paint and black', () => {
  for (const mode of ['src-over', 'multiply'] as const) {
    it(`looks the same in ${mode} as before, on any backdrop`, () => {
      const random = seeded(11);
      const sample = (): number => Math.floor(random() * 65536);
      let worst = 0;
      for (let i = 0; i < 5000; i++) {
        const pixel = Uint16Array.of(sample(), sample(), sample(), sample());
        // Bright enough that no channel of the paint would pass white.
        const most = Math.max(pixel[0], pixel[1], pixel[2]) / 65535;
        const share = most + (1 - most) * random();
        const [paint, ink, scratch] = [new Uint16Array(4), new Uint16Array(4), new Uint16Array(4)];
        splitPixel(pixel, 0, share, paint, ink);
        const once = Uint16Array.of(sample(), sample(), sample(), 65535);
        const twice = once.slice();
        compositeTile(mode, once, pixel, scratch, arena);
        compositeTile(mode, twice, paint, scratch, arena);
        compositeTile(mode, twice, ink, scratch, arena);
        for (let c = 0; c < 4; c++) worst = Math.max(worst, Math.abs(once[c] - twice[c]));
      }
      expect(worst).toBeLessThanOrEqual(3);
    });
  }
});

describe('a tile of line art', () => {
  const tolerance = blackTolerance(lineSettings);
  const part = (...pixel: number[]) => {
    const [paint, ink] = [new Uint16Array(4), new Uint16Array(4)];
    const found = splitLineTile(Uint16Array.from(pixel), tolerance, paint, ink, arena);
    return { found, paint: [...paint], ink: [...ink] };
  };

  it('leaves black and coloured ink as it is', () => {
    for (const pixel of [
      [3000, 3000, 3000, 40000],
      [50000, 0, 9000, 65535],
    ]) {
      expect(part(...pixel)).toEqual({ found: { paint: false, ink: true }, paint: [0, 0, 0, 0], ink: pixel });
    }
  });

  it('takes white as paint, and the grey between white and black as black over white', () => {
    expect(part(65535, 65535, 65535, 65535).found).toEqual({ paint: true, ink: false });
    const grey = part(32768, 32768, 32768, 65535);
    expect(grey.paint).toEqual([65535, 65535, 65535, 65535]);
    expect(Math.abs(grey.ink[3] - 32767)).toBeLessThan(2);
  });
});
