import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Raster } from '../../pipeline/model/raster.js';
import {
  type Eyes,
  nearestLevel,
  otherEyes,
  pictureSeenBy,
  seeingOf,
} from '../../pipeline/palette/colour-vision.js';
import { levelOf, lightOf } from '../../pipeline/palette/oklab.js';
import { redGreen, tritan } from '../../pipeline/palette/vision-tables.js';

// Expected colours were computed apart from this program from the published figures: Machado, Oliveira and Fernandes 2009 (IEEE
// Transactions on Visualization and Computer Graphics 15(6), 1291-1298) for protanopia and deuteranopia, Brettel, Vienot and Mollon 1997
// (JOSA A 14(10), 2647-2655) for tritanopia, the latter held against libDaltonLens (public domain).

const eyesOf: Readonly<Record<string, Eyes>> = {
  protan: 'protanopia',
  deutan: 'deuteranopia',
  tritan: 'tritanopia',
};

const rows = readFileSync(new URL('colour-vision.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => {
    const [, deficiency, severity, ...numbers] = line.split(',');
    const [r, g, b, lr, lg, lb, ...seen] = numbers.map(Number);
    return {
      eyes: eyesOf[deficiency],
      severity: Number(severity),
      painted: [r, g, b],
      linear: [lr, lg, lb],
      seen,
    };
  });

function pixels(...colours: readonly (readonly number[])[]): Raster {
  const data = Uint8Array.from(colours.flat());
  return { width: colours.length, height: 1, model: 'rgb', alpha: false, data };
}

describe('colour as other eyes see it', () => {
  it('has fourteen colours in five ways of seeing to go by', () => {
    expect(rows.length).toBe(70);
  });

  it.each(rows)('$painted is $seen to $eyes of severity $severity', ({ eyes, severity, painted, seen }) => {
    expect([...pictureSeenBy(pixels(painted), eyes, severity).data]).toEqual(seen);
  });

  it('agrees in linear light, before anything is rounded', () => {
    for (const { eyes, severity, painted, linear } of rows) {
      const [r, g, b] = painted.map(lightOf);
      const light = seeingOf(eyes, severity)(r, g, b);
      for (const [i, value] of light.entries()) {
        const within = Math.min(1, Math.max(0, linear[i]));
        expect(Math.abs(value - within), `${painted} ${eyes}`).toBeLessThan(2e-6);
      }
    }
  });

  it('keeps grey grey: every row of every matrix sums to 1, so that no digit was copied wrongly', () => {
    const matrices = [
      ...Object.values(redGreen).flatMap((steps) => steps.map(({ matrix }) => matrix)),
      tritan.first,
      tritan.second,
    ];
    expect(matrices.length).toBe(14);
    for (const m of matrices) {
      for (const row of [0, 3, 6]) expect(Math.abs(m[row] + m[row + 1] + m[row + 2] - 1)).toBeLessThan(2e-5);
    }
  });

  it('leaves greys as they are, whoever looks', () => {
    const greys = pixels(...[0, 1, 17, 64, 128, 200, 254, 255].map((level) => [level, level, level]));
    for (const eyes of otherEyes) {
      for (const [i, level] of pictureSeenBy(greys, eyes).data.entries()) {
        expect(Math.abs(level - greys.data[i]), `${eyes} ${greys.data[i]}`).toBeLessThanOrEqual(1);
      }
    }
  });

  it('goes from all cones to none without a jump', () => {
    const red = [1, 0, 0] as const;
    for (const eyes of ['protanopia', 'deuteranopia'] as const) {
      expect(seeingOf(eyes, 0)(...red)).toEqual([1, 0, 0]);
      const reds = Array.from({ length: 101 }, (_, i) => seeingOf(eyes, i / 100)(...red)[0]);
      for (const [i, value] of reds.slice(1).entries()) {
        expect(value, `${eyes} ${i}`).toBeLessThan(reds[i]);
        expect(reds[i] - value).toBeLessThan(0.02);
      }
    }
  });

  it('refuses a severity that is none, and steps that nobody published', () => {
    expect(() => seeingOf('protanopia', 1.1)).toThrow(RangeError);
    expect(() => seeingOf('deuteranopia', Number.NaN)).toThrow(RangeError);
    expect(() => seeingOf('tritanopia', 0.5)).toThrow(/in full only/);
  });
});

describe('the squint view', () => {
  it('shows lightness as the eye sees it: grey of the same luminance (IEC 61966-2-1)', () => {
    // Y of the primaries is 0.2126, 0.7152 and 0.0722; as levels by the curve of sRGB.
    const seen = pictureSeenBy(pixels([255, 0, 0], [0, 255, 0], [0, 0, 255], [255, 255, 0]), 'grey').data;
    const levels = [0.2126, 0.7152, 0.0722, 0.9278].map((y) =>
      Math.round(255 * (1.055 * y ** (1 / 2.4) - 0.055)),
    );
    expect([...seen]).toEqual(levels.flatMap((level) => [level, level, level]));
  });
});

describe('levels and linear light', () => {
  it('come back as they were, each of the 256', () => {
    for (let level = 0; level < 256; level++) expect(nearestLevel(lightOf(level))).toBe(level);
  });

  it('are rounded as the curve of sRGB has it, wherever between', () => {
    const lights = Array.from({ length: 5000 }, (_, i) => (i / 5000) ** 2);
    expect(lights.map(nearestLevel)).toEqual(lights.map((light) => Math.round(levelOf(light))));
  });
});
