import { describe, expect, it } from 'vitest';
import { labOfOklab, labOfRgb } from '../../pipeline/palette/cie-lab.js';
import {
  chromaOf,
  hueOf,
  lightOfOklab,
  oklabOf,
  oklabOfLight,
  type Rgb,
  rgbOf,
} from '../../pipeline/palette/oklab.js';

// B. Ottosson, bottosson.github.io/posts/oklab, 2020: XYZ relative to D65 and OKLab, three decimals as published.
const published = [
  [
    [0.95, 1, 1.089],
    [1, 0, 0],
  ],
  [
    [1, 0, 0],
    [0.45, 1.236, -0.019],
  ],
  [
    [0, 1, 0],
    [0.922, -0.671, 0.263],
  ],
  [
    [0, 0, 1],
    [0.153, -1.415, -0.449],
  ],
] as const;

/** XYZ relative to D65 to linear sRGB: CSS Color 4, sample code, as fractions. */
const lightOfXyz = [
  [12831 / 3959, -329 / 214, -1974 / 3959],
  [-851781 / 878810, 1648619 / 878810, 36519 / 878810],
  [705 / 12673, -2585 / 12673, 705 / 667],
] as const;

// Computed from the published matrices by another program, and confirmed with colour libraries; lightness, a, b, hue in degrees.
const computed: readonly (readonly [Rgb, number, number, number, number])[] = [
  [[255, 255, 255], 1, 0, 0, 0],
  [[0, 0, 0], 0, 0, 0, 0],
  [[255, 0, 0], 0.62796, 0.22486, 0.12585, 29.23],
  [[0, 255, 0], 0.86644, -0.23389, 0.1795, 142.5],
  [[0, 0, 255], 0.45201, -0.03246, -0.31153, 264.05],
  [[0, 255, 255], 0.9054, -0.14944, -0.0394, 194.77],
  [[255, 255, 0], 0.96798, -0.07137, 0.19857, 109.77],
  [[128, 128, 128], 0.59987, 0, 0, 0],
  [[200, 100, 50], 0.61384, 0.10045, 0.10074, 45.08],
  [[50, 150, 100], 0.60216, -0.11107, 0.04584, 157.57],
  [[90, 60, 160], 0.44568, 0.06007, -0.1424, 292.87],
  [[255, 0, 255], 0.70167, 0.27457, -0.16916, 328.36],
];

function within(got: readonly number[], wanted: readonly number[], tolerance: number): void {
  for (const [at, value] of got.entries()) {
    expect(Math.abs(value - (wanted[at] ?? Number.NaN))).toBeLessThan(tolerance);
  }
}

describe('a colour in OKLab', () => {
  it.each(published)('of XYZ %j is where its author put it', (xyz, wanted) => {
    const [red, green, blue] = lightOfXyz.map((row) =>
      row.reduce((sum, each, at) => sum + each * xyz[at], 0),
    );
    // The author's matrix from XYZ is rounded elsewhere than that from sRGB.
    within(oklabOfLight(red, green, blue), wanted, 0.0016);
  });

  it.each(computed)(
    'of the screen, %j, has the lightness, chroma and hue of the published matrices',
    (rgb, l, a, b, h) => {
      const oklab = oklabOf(rgb);
      within(oklab, [l, a, b], 1e-4);
      expect(Math.abs(hueOf(oklab) - h)).toBeLessThan(0.05);
      expect(Math.abs(chromaOf(oklab) - Math.hypot(a, b))).toBeLessThan(1e-4);
    },
  );

  it('comes back to every level that it came from', () => {
    for (let level = 0; level < 256; level++) {
      for (const rgb of [
        [level, 255 - level, 128],
        [level, level, level],
        [0, level, 255],
      ] as const) {
        expect(rgbOf(oklabOf(rgb))).toEqual(rgb);
      }
    }
  });

  it('that no screen shows is cut off', () => {
    expect(Math.min(...lightOfOklab([0.7, -0.3, 0.1]))).toBeLessThan(0);
    expect(rgbOf([0.7, -0.3, 0.1])[0]).toBe(0);
  });
});

// As in srgb-lab.test.ts: CSS Color 4, confirmed with Little CMS.
describe('a colour in Lab', () => {
  it.each([
    [
      [255, 0, 0],
      [54.2905, 80.8049, 69.891],
    ],
    [
      [0, 0, 255],
      [29.5683, 68.2874, -112.0297],
    ],
    [
      [255, 255, 255],
      [100, 0, 0],
    ],
    [
      [119, 119, 119],
      [50.0344, 0, 0],
    ],
    [
      [0, 128, 0],
      [46.2777, -47.5524, 48.5863],
    ],
  ] as const)('of the screen, %j, is where CSS Color 4 puts it, through OKLab too', (rgb, lab) => {
    within(labOfRgb(rgb), lab, 0.01);
    within(labOfOklab(oklabOf(rgb)), lab, 0.01);
  });
});
