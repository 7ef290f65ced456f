import { describe, expect, it } from 'vitest';
import { exactTransform } from '../../config/press/colour-engine.js';

// sRGB to Lab (D50): computed from the matrices of CSS Color 4 (Bradford adaptation) and confirmed with Little CMS 2.14
// (transicc -i *sRGB -o *Lab); red also as in the documentation of coloraide. Engines differ by up to 0.02.
const known: readonly (readonly [string, number[], number[]])[] = [
  ['red', [255, 0, 0], [54.2905, 80.8049, 69.891]],
  ['green', [0, 255, 0], [87.8185, -79.2711, 80.9946]],
  ['blue', [0, 0, 255], [29.5683, 68.2874, -112.0297]],
  ['cyan', [0, 255, 255], [90.666, -50.6565, -14.9617]],
  ['magenta', [255, 0, 255], [60.1689, 93.5396, -60.5008]],
  ['yellow', [255, 255, 0], [97.607, -15.7498, 93.3936]],
  ['white', [255, 255, 255], [100, 0, 0]],
  ['black', [0, 0, 0], [0, 0, 0]],
  ['grey 128', [128, 128, 128], [53.585, 0, 0]],
  ['grey 119', [119, 119, 119], [50.0344, 0, 0]],
  ['a dark green', [0, 128, 0], [46.2777, -47.5524, 48.5863]],
];

describe('what an untagged picture is taken for', () => {
  const toLab = exactTransform({
    from: 'srgb',
    to: 'lab',
    intent: 'relative',
    blackPointCompensation: false,
  });
  it.each(known)('has %s of sRGB where CSS Color 4 puts it', (_, rgb, lab) => {
    const [l = 0, a = 0, b = 0] = toLab(rgb.map((value) => value / 255));
    [l * 100, a * 255 - 128, b * 255 - 128].forEach((value, index) => {
      expect(Math.abs(value - (lab[index] ?? Number.NaN))).toBeLessThan(0.02);
    });
  });
});
