import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { clearsOutside, compositeTile } from '../../../pipeline/layers/blend.js';
import { type BlendMode, blendModes } from '../../../pipeline/model/working-page.js';
import { composite } from '../../helpers/compositing-reference.js';
import { seeded } from '../../helpers/stack-builder.js';

const arena = new PageArena();

type Pixel = readonly [number, number, number, number];

/** Composites one pixel of 0 to 1 through the kernel. */
function blendOne(mode: BlendMode, under: Pixel, over: Pixel): number[] {
  const to16 = (pixel: Pixel): Uint16Array => Uint16Array.from(pixel, (v) => Math.round(v * 65535));
  const tile = to16(under);
  compositeTile(mode, tile, to16(over), new Uint16Array(4), arena);
  return Array.from(tile, (v) => v / 65535);
}

function opaque(mode: BlendMode, b: number, s: number): number {
  return blendOne(mode, [b, b, b, 1], [s, s, s, 1])[0];
}

// Worked from the formulas of W3C Compositing and Blending Level 1, section 10.1, for pairs of backdrop and source.
const pairs = [
  [0.2, 0.6],
  [0.8, 0.3],
  [0.5, 0.5],
  [0.1, 0.9],
  [0, 1],
  [1, 0],
  [0.25, 0.75],
] as const;
const worked: readonly (readonly [BlendMode, readonly number[]])[] = [
  ['multiply', [0.12, 0.24, 0.25, 0.09, 0, 0, 0.1875]],
  ['screen', [0.68, 0.86, 0.75, 0.91, 1, 1, 0.8125]],
  ['overlay', [0.24, 0.72, 0.5, 0.18, 0, 1, 0.375]],
  ['darken', [0.2, 0.3, 0.5, 0.1, 0, 0, 0.25]],
  ['lighten', [0.6, 0.8, 0.5, 0.9, 1, 1, 0.75]],
  ['color-dodge', [0.5, 1, 1, 1, 0, 1, 1]],
  ['color-burn', [0, 1 / 3, 0, 0, 0, 1, 0]],
  ['hard-light', [0.36, 0.48, 0.5, 0.82, 1, 0, 0.625]],
  ['soft-light', [0.2496, 0.736, 0.5, 0.2568, 0, 1, 0.375]],
  ['difference', [0.4, 0.5, 0, 0.8, 1, 1, 0.5]],
  ['exclusion', [0.56, 0.62, 0.5, 0.82, 1, 1, 0.625]],
];

describe('separable blend modes, opaque on opaque', () => {
  for (const [mode, expected] of worked) {
    it(`${mode} gives the worked values`, () => {
      pairs.forEach(([b, s], i) => {
        // Dodging .1 by .9 stands on the edge of its formula; 16-bit samples may fall just short of it.
        expect(Math.abs(opaque(mode, b, s) - expected[i])).toBeLessThan(1e-4);
      });
    });
  }
});

describe('non-separable blend modes, opaque on opaque', () => {
  // Worked from section 10.2 with b = (.8, .4, .2) and s = (.2, .3, .9).
  const colours: readonly (readonly [BlendMode, Pixel, Pixel, readonly number[]])[] = [
    ['hue', [0.8, 0.4, 0.2, 1], [0.2, 0.3, 0.9, 1], [0.381429, 0.467143, 0.981429]],
    ['saturation', [0.8, 0.4, 0.2, 1], [0.2, 0.3, 0.9, 1], [0.850333, 0.383667, 0.150333]],
    ['color', [0.8, 0.4, 0.2, 1], [0.2, 0.3, 0.9, 1], [0.37695, 0.465957, 1]],
    ['luminosity', [0.8, 0.4, 0.2, 1], [0.2, 0.3, 0.9, 1], [0.638, 0.238, 0.038]],
    ['color', [0.5, 0.5, 0.5, 1], [1, 0, 0, 1], [1, 0.285714, 0.285714]],
    ['luminosity', [0.5, 0.5, 0.5, 1], [1, 0, 0, 1], [0.3, 0.3, 0.3]],
  ];
  for (const [mode, under, over, expected] of colours) {
    it(`${mode} of ${over.slice(0, 3)} on ${under.slice(0, 3)}`, () => {
      const out = blendOne(mode, under, over);
      expected.forEach((value, c) => {
        expect(Math.abs(out[c] - value)).toBeLessThan(5e-5);
      });
    });
  }
});

describe('alpha', () => {
  // Worked from section 5.1: mode, Cb, ab, Cs, as, Co, ao.
  const cases: readonly (readonly [BlendMode, number, number, number, number, number, number])[] = [
    ['src-over', 0.2, 1, 0.6, 0.5, 0.4, 1],
    ['multiply', 0.2, 1, 0.6, 0.5, 0.16, 1],
    ['multiply', 0.2, 0.5, 0.6, 0.5, 0.306667, 0.75],
    ['screen', 0.8, 0.25, 0.3, 0.75, 0.467692, 0.8125],
    ['multiply', 0.2, 0, 0.6, 0.5, 0.6, 0.5],
    ['plus', 0.2, 0.5, 0.6, 0.5, 0.4, 1],
  ];
  for (const [mode, cb, ab, cs, as, co, ao] of cases) {
    it(`${mode} of ${cs} at ${as} on ${cb} at ${ab}`, () => {
      const out = blendOne(mode, [cb, cb, cb, ab], [cs, cs, cs, as]);
      expect(Math.abs(out[0] - co)).toBeLessThan(5e-5);
      expect(Math.abs(out[3] - ao)).toBeLessThan(5e-5);
    });
  }

  it('only dst-in and dst-atop change what lies outside the source', () => {
    for (const mode of blendModes) {
      const out = blendOne(mode, [0.3, 0.6, 0.9, 0.8], [0, 0, 0, 0]);
      const changed = Math.abs(out[3] - 0.8) > 1e-4 || Math.abs(out[0] - 0.3) > 1e-4;
      expect([mode, changed]).toEqual([mode, clearsOutside(mode)]);
    }
  });
});

describe('every mode against the formulas in double precision', () => {
  for (const mode of blendModes) {
    it(`${mode}: 20000 pixels, the premultiplied result within 2 of 65535`, () => {
      const random = seeded(7);
      // Ends and halves often, because that is where formulas change over.
      const sample = (): number => {
        const kind = Math.floor(random() * 6);
        if (kind === 0) return 0;
        if (kind === 1) return 65535;
        return kind === 2 ? 32768 : Math.floor(random() * 65536);
      };
      const count = 20_000;
      const under = Uint16Array.from({ length: count * 4 }, sample);
      const over = Uint16Array.from({ length: count * 4 }, sample);
      const out = under.slice();
      compositeTile(mode, out, over, new Uint16Array(count * 4), arena);
      let worst = 0;
      for (let i = 0; i < out.length; i += 4) {
        const expected = composite(mode, premultiplied(under, i), premultiplied(over, i));
        const got = premultiplied(out, i);
        for (let c = 0; c < 4; c++) worst = Math.max(worst, Math.abs(got[c] - expected[c]));
      }
      expect(worst * 65535).toBeLessThan(2);
    });
  }
});

function premultiplied(tile: Uint16Array, i: number): [number, number, number, number] {
  const alpha = tile[i + 3] / 65535;
  return [(tile[i] / 65535) * alpha, (tile[i + 1] / 65535) * alpha, (tile[i + 2] / 65535) * alpha, alpha];
}
