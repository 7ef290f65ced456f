import { describe, expect, test } from 'vitest';
import {
  areOnePicture,
  lookOfColour,
  lookOfLettering,
  lookOfLine,
  openLook,
} from '../../../pipeline/register/looks.js';
import { bitsOf, drawn, plateOf, seeded } from '../../helpers/rasters.js';

const [width, height] = [250, 370];
const page = (change: (x: number, y: number) => number = () => 0) =>
  drawn(width, height, 'rgb', (x, y) => [(x + change(x, y)) & 255, (2 * y + change(x, y)) & 255, 90]);
const open = (raster: Parameters<typeof lookOfColour>[0]) => openLook(lookOfColour(raster));
const isDot = (x: number, y: number) => Math.hypot(x - 100, y - 200) < 2;

describe('the look of a picture', () => {
  test('has the mean of each cell, channels weighed 3, 5 and 2', () => {
    const { cells, mean } = open(drawn(240, 360, 'rgb', (x) => (x < 120 ? [100, 50, 10] : [0, 0, 0])));
    expect([cells[0], cells[11], cells[12]]).toEqual([57 * 256, 57 * 256, 0]);
    expect(mean).toBeCloseTo(28.5);
  });

  test('is the same of 8 bit and of 16', () => {
    const wide = { ...page(), data: Uint16Array.from(page().data, (level) => level * 257) };
    expect(lookOfColour(wide)).toBe(lookOfColour(page()));
  });

  test('bears noise as another export leaves it, and no dot that was put right', () => {
    const noise = seeded(4);
    const grey = (level: (x: number, y: number) => number) =>
      drawn(500, 740, 'grey', (x, y) => [level(x, y)]);
    const noisy = grey((x) => (x >> 2) + 3 + Math.round(2 * noise() - 1));
    const clean = grey((x) => (x >> 2) + 3);
    const dotted = grey((x, y) => (isDot(x, y) ? 255 : (x >> 2) + 3));
    expect(areOnePicture(open(clean), open(noisy), 0.5)).toBe(true);
    expect(areOnePicture(open(clean), open(dotted), 0.5)).toBe(false);
  });

  test('tells a hue from another one of the same brightness', () => {
    const [one, other] = [
      drawn(width, height, 'rgb', () => [200, 40, 90]),
      drawn(width, height, 'rgb', () => [40, 200, 90]),
    ];
    expect(areOnePicture(open(one), open(other), 0.5)).toBe(false);
  });

  test('of line counts every pixel', () => {
    const line = (more: boolean) =>
      lookOfLine(
        bitsOf(
          plateOf(1000, 740, (x, y) => ((x + y) % 9 === 0 || (more && x === 401 && y === 333) ? 255 : 0)),
        ),
      );
    expect(areOnePicture(openLook(line(false)), openLook(line(false)), 0)).toBe(true);
    expect(areOnePicture(openLook(line(false)), openLook(line(true)), 0)).toBe(false);
  });

  test('of lettering is that of its darkness', () => {
    const dark = plateOf(width, height, (x, y) => (isDot(x, y) ? 255 : 0));
    const [with1, without] = [
      lookOfLettering({ ...dark, dark: dark.data }),
      lookOfLettering({ ...dark, dark: dark.data.map(() => 0) }),
    ];
    expect(areOnePicture(openLook(with1), openLook(without), 0.25)).toBe(false);
  });
});
