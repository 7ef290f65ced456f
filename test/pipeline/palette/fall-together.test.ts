import { describe, expect, test } from 'vitest';
import { defaultLimits } from '../../../config/check-limits/index.js';
import { noticeTogether } from '../../../pipeline/checks/fall-together.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { processPlanes, type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { measureTogether, together } from '../../../pipeline/palette/fall-together.js';
import { specWith } from '../../helpers/specs.js';

type Colour = readonly [number, number, number];
/** To somebody without green cones these are one. */
const rust: Colour = [201, 101, 79];
const moss: Colour = [153, 126, 67];
/** Its lightness tells it from both. */
const sand: Colour = [235, 205, 160];
const white: Colour = [255, 255, 255];
const black: Colour = [0, 0, 0];

const limits = { clearOklab: 0.1, togetherOklab: 0.025 };
const arena = new PageArena();

/** Stands in for a press whose cyan, magenta and yellow take red, green and blue away, and black all three. */
const plainPress = {
  softProof({ width, height, data: inks }: Raster): Raster {
    const data = new Uint8Array(width * height * 3);
    for (let i = 0, at = 0; i < width * height; i++) {
      for (let c = 0; c < 3; c++) data[at++] = ((255 - inks[i * 4 + c]) * (255 - inks[i * 4 + 3])) / 255;
    }
    return { width, height, model: 'rgb', alpha: false, data };
  },
};

/** At 60 pixels an inch: a place is a pixel, 0.42 mm. */
const ppi = 60;

function page(width: number, height: number, colourAt: (x: number, y: number) => Colour): Separation {
  const separation = separationOf({ width, height }, () => new Uint8Array(width * height));
  const planes = processPlanes(separation);
  for (let i = 0; i < width * height; i++) {
    const colour = colourAt(i % width, Math.floor(i / width));
    if (colour === black) planes[3][i] = 255;
    else for (const [c, level] of colour.entries()) planes[c][i] = 255 - level;
  }
  return separation;
}

const measured = (drawn: Separation, at = ppi) => measureTogether(drawn, at, limits, plainPress, arena);

describe('two colours', () => {
  test('fall together where they differ clearly, and some eyes do not part them', () => {
    const pair = together(rust, moss, limits);
    expect(pair?.distance).toBeGreaterThan(0.1);
    expect(pair?.seen).toBeLessThan(0.025);
    expect(pair?.eyes).toBe('deuteranopia');
  });

  test('do not where lightness parts them, where everybody sees one, and where both are grey', () => {
    expect(together(rust, sand, limits)).toBeUndefined();
    expect(together(rust, [199, 103, 80], limits)).toBeUndefined();
    expect(together([90, 90, 90], [140, 140, 140], limits)).toBeUndefined();
  });
});

describe('flats that fall together side by side', () => {
  test.each([
    ['upright', (x: number) => x < 60, 120],
    ['level', (_: number, y: number) => y < 60, 120],
    ['aslant', (x: number, y: number) => x + y < 120, 120 * Math.SQRT2],
    ['round', (x: number, y: number) => Math.hypot(x - 60, y - 60) < 40, 80 * Math.PI],
  ] as const)('are told by the length of their border, %s', (_, isRust, pixels) => {
    const found = measured(page(120, 120, (x, y) => (isRust(x, y) ? rust : moss)));
    const lengthMm = (pixels * 25.4) / ppi;
    expect(Math.abs((found?.lengthMm ?? 0) - lengthMm) / lengthMm).toBeLessThan(0.09);
    expect(found?.pair.colours.map(String).sort()).toEqual([String(moss), String(rust)]);
  });

  test('are told where they are', () => {
    const found = measured(page(200, 120, (x) => (x < 150 ? rust : moss)));
    expect(found?.boxes.length).toBe(1);
    const [{ left, top, width, height }] = found?.boxes ?? [];
    expect(left).toBeGreaterThanOrEqual(148);
    expect(left + width).toBeLessThanOrEqual(152);
    expect([top, height]).toEqual([0, 120]);
  });

  test.each([
    ['a black line', black],
    ['a white one', white],
    ['a painted one', [90, 40, 60] as const],
  ])('are parted by %s between them', (_, line) => {
    const parted = page(480, 480, (x) => (x >= 238 && x < 241 ? line : x < 240 ? rust : moss));
    expect(measured(parted, 240)).toBeUndefined();
  });

  test('are told where one blends into the other at the edge, as paint is exported', () => {
    const blend = rust.map((level, i) => Math.round((level + moss[i]) / 2)) as unknown as Colour;
    const soft = page(480, 480, (x) => (x === 239 || x === 240 ? blend : x < 240 ? rust : moss));
    expect(measured(soft, 240)?.lengthMm).toBeGreaterThan(45);
  });

  test('are no flats where grain breaks them up, or where they are as thin as a brush stroke', () => {
    const grain = (x: number, y: number) => ((x * 7919 + y * 104729) % 31) - 15;
    const noisy = page(120, 120, (x, y) => {
      const [r, g, b] = x < 60 ? rust : moss;
      const n = grain(x, y);
      return [r + n, g + n, b + n];
    });
    expect(measured(noisy)).toBeUndefined();
    expect(measured(page(120, 120, (x) => (x % 3 === 0 ? rust : moss)))).toBeUndefined();
  });
});

describe('the hint', () => {
  const drawn = page(120, 120, (x) => (x < 60 ? rust : moss));
  const trim = { widthMm: 40, heightMm: 40 };
  const notice = (change: Partial<typeof defaultLimits>, inks?: readonly ['black']) => {
    const spec = specWith({
      checks: { ...defaultLimits, ...change },
      trim,
      colourPpi: ppi,
      ...(inks && { inks }),
    });
    return noticeTogether(drawn, spec, 'mm', plainPress, arena);
  };

  test('tells length, colours and limit, and asks for no look', () => {
    const [hint] = notice({});
    expect(hint.code).toBe('colours-fall-together');
    expect(hint.severity).toBe('note');
    expect(hint.measured).toMatch(
      /^\d+ mm of border; most of it .* beside .* \(sRGB\), in OKLab 0\.1\d apart/,
    );
    expect(hint.limit).toBe('at most 40 mm of border nearer than 0.025');
    expect(hint.places?.shown.length).toBe(1);
  });

  test('is left out by a limit of 0, for a shorter border, and on a page in black alone', () => {
    expect(notice({ fallTogetherMm: 0 })).toEqual([]);
    expect(notice({ fallTogetherOklab: 0 })).toEqual([]);
    expect(notice({ fallTogetherMm: 60 })).toEqual([]);
    expect(notice({}, ['black'])).toEqual([]);
  });
});
