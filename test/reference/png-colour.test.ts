import { deflateSync } from 'node:zlib';
import Color from 'colorjs.io';
import { describe, expect, test } from 'vitest';
import { exactTransform, loadProfile } from '../../config/press/colour-engine.js';
import { readIccProfile } from '../../config/press/icc-profile.js';
import { pngColour } from '../../pipeline/reading/png-colour.js';

/*
 * What the colour chunks of a PNG mean, against colorjs.io, which has the same spaces from CSS Color 4 and their own standards:
 * sRGB (IEC 61966-2-1), Display P3 (SMPTE EG 432-1 with sRGB's curve), and A98 RGB, whose exponent is 563/256. The order of the
 * chunks: PNG specification, third edition, 4.3 and 11.3.2.
 */

const numbers = (...values: number[]) => {
  const chunk = Buffer.alloc(4 * values.length);
  for (const [i, value] of values.entries()) chunk.writeUInt32BE(Math.round(value * 100_000), 4 * i);
  return chunk;
};
const a98: [string, Buffer][] = [
  ['gAMA', numbers(256 / 563)],
  ['cHRM', numbers(0.3127, 0.329, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06)],
];
const p3: [string, Buffer] = ['cICP', Buffer.from([12, 13, 0, 1])];
const srgb: [string, Buffer] = ['sRGB', Buffer.from([0])];

const colours = [0, 0.05, 0.3, 0.6, 1].flatMap((r) =>
  [0, 0.2, 1].flatMap((g) => [0, 0.5, 1].map((b) => [r, g, b] as const)),
);

function labOf(chunks: readonly (readonly [string, Buffer])[]): (rgb: readonly number[]) => number[] {
  const { profile } = pngColour(new Map(chunks), 'rgb');
  if (profile === undefined) throw new Error('the file does not say what its colour is');
  expect(readIccProfile(profile, 'picture').space).toBe('rgb');
  const convert = exactTransform({
    from: loadProfile(profile),
    to: 'lab',
    intent: 'relative',
    blackPointCompensation: false,
  });
  return (rgb) => {
    const [l = 0, a = 0, b = 0] = convert([...rgb]);
    return [l * 100, a * 255 - 128, b * 255 - 128];
  };
}

/** The largest CIE76 difference over the colours. */
function mostApart(chunks: readonly (readonly [string, Buffer])[], space: string): number {
  const toLab = labOf(chunks);
  const differences = colours.map((rgb) => {
    const expected = new Color(space, [...rgb]).to('lab').coords.map(Number);
    return Math.hypot(...toLab(rgb).map((value, i) => value - expected[i]));
  });
  return Math.max(...differences);
}

describe('the colour of a PNG', () => {
  test.each([
    ['an sRGB chunk', [srgb], 'srgb'],
    ['gAMA and cHRM', a98, 'a98rgb'],
    ['code points of Display P3', [p3], 'p3'],
    ['code points of sRGB', [['cICP', Buffer.from([1, 13, 0, 1])]], 'srgb'],
  ] as [string, [string, Buffer][], string][])('is what %s says', (_name, chunks, space) => {
    expect(mostApart(chunks, space)).toBeLessThan(0.1);
  });

  test('is told by cICP before sRGB, and by sRGB before gAMA and cHRM', () => {
    expect(mostApart([...a98, srgb, p3], 'p3')).toBeLessThan(0.1);
    expect(mostApart([...a98, srgb], 'srgb')).toBeLessThan(0.1);
    expect(mostApart(a98, 'srgb')).toBeGreaterThan(5);
  });

  test('is the embedded profile before sRGB, gAMA and cHRM', () => {
    const own = pngColour(new Map(a98), 'rgb').profile ?? new Uint8Array();
    const embedded = Buffer.concat([Buffer.from('page\0\0', 'latin1'), deflateSync(own)]);
    expect(mostApart([['iCCP', embedded], srgb], 'a98rgb')).toBeLessThan(0.1);
  });

  test('of grey is its curve alone: light is the sample to the power of one by gAMA', () => {
    const { profile } = pngColour(new Map([['gAMA', numbers(0.5)]]), 'grey');
    const toLab = exactTransform({
      from: loadProfile(profile ?? new Uint8Array()),
      to: 'lab',
      intent: 'relative',
      blackPointCompensation: false,
    });
    // Half of the samples' range is a quarter of the light: L* = 116 x 0.25^(1/3) - 16 (CIE 15).
    const [l = 0] = toLab([0.5]);
    expect(Math.abs(l * 100 - (116 * Math.cbrt(0.25) - 16))).toBeLessThan(0.05);
  });
});

describe('a PNG whose colour cannot be told', () => {
  const codesOf = (chunks: readonly (readonly [string, Buffer])[]) => {
    const { profile, noticed } = pngColour(new Map(chunks), 'rgb');
    return { isTold: profile !== undefined, codes: noticed.map(({ code }) => code) };
  };

  test('is untagged where it says nothing, or nothing that makes sense', () => {
    expect(codesOf([])).toEqual({ isTold: false, codes: [] });
    expect(codesOf([['gAMA', numbers(0)]])).toEqual({ isTold: false, codes: [] });
    expect(codesOf([['gAMA', Buffer.alloc(3)]])).toEqual({ isTold: false, codes: [] });
    const flat: [string, Buffer] = ['cHRM', numbers(0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3)];
    expect(codesOf([['gAMA', numbers(0.45455)], flat])).toEqual({ isTold: false, codes: [] });
  });

  test('asks for a look where it is meant for high dynamic range, and goes by its other chunks', () => {
    const hdr: [string, Buffer] = ['cICP', Buffer.from([9, 16, 0, 1])];
    expect(codesOf([hdr])).toEqual({ isTold: false, codes: ['picture-colour-unsupported'] });
    expect(codesOf([hdr, srgb])).toEqual({
      isTold: true,
      codes: ['picture-colour-unsupported', 'picture-states-srgb'],
    });
  });
});
