import { describe, expect, test } from 'vitest';
import { measureNearBlack } from '../../../pipeline/colour-faults/near-black.js';
import type { Plate, Raster } from '../../../pipeline/model/raster.js';
import { drawn, plateOf, seeded } from '../../helpers/rasters.js';

const ppi = 60;

/** A page of panels: a near-black, black, and colours. */
function panels(dark: readonly number[], black: readonly number[] = [0, 0, 0]): Raster {
  const colours = [[240, 200, 120], dark, black, [90, 140, 200]];
  return drawn(120, 120, 'rgb', (x, y) => [...colours[(x >= 60 ? 1 : 0) + (y >= 60 ? 2 : 0)]]);
}

const found = (raster: Raster, coverage?: Plate) => measureNearBlack({ raster, coverage }, ppi);

describe('almost black beside true black', () => {
  test('is told with its colour, its share and where it is', () => {
    const nearBlack = found(panels([20, 20, 25]));
    expect(nearBlack?.colour).toEqual([20, 20, 25]);
    expect(nearBlack?.percent).toBeGreaterThan(23);
    expect(nearBlack?.percent).toBeLessThan(26);
    const [{ left, top, width, height }] = nearBlack?.boxes ?? [];
    expect(left).toBeGreaterThanOrEqual(60);
    expect(top).toBeLessThan(3);
    expect([left + width, top + height].every((end) => end <= 120)).toBe(true);
  });

  test('black on a line plate is true black as well', () => {
    const coverage = plateOf(120, 120, (x, y) => (x < 60 && y >= 60 ? 255 : 0));
    expect(found(panels([20, 20, 25], [250, 250, 250]), coverage)).toBeDefined();
  });

  test('what a line plate covers prints as black and is none', () => {
    expect(
      found(
        panels([20, 20, 25]),
        plateOf(120, 120, (x, y) => (x >= 60 && y < 60 ? 255 : 0)),
      ),
    ).toBeUndefined();
  });

  test.each([
    ['as dark as black itself', [5, 4, 5]],
    ['a dark blue', [16, 18, 34]],
    ['a dark grey', [40, 40, 40]],
  ])('%s is none', (_, colour) => {
    expect(found(panels(colour))).toBeUndefined();
  });

  test('on a page without true black it may be meant', () => {
    expect(found(panels([20, 20, 25], [60, 30, 90]))).toBeUndefined();
  });

  test('the shadows of paint and of photographs are none', () => {
    const random = seeded(8);
    const grain = drawn(120, 120, 'rgb', (x) =>
      x < 20 ? [0, 0, 0] : [0, 1, 2].map(() => 16 + Math.floor(random() * 12)),
    );
    expect(found(grain)).toBeUndefined();
    const smooth = drawn(120, 120, 'rgb', (x, y) =>
      x < 20 ? [0, 0, 0] : [0, 0, 1].map((c) => 10 + (y >> 3) + c),
    );
    expect(found(smooth)).toBeUndefined();
  });

  test('grey and 16 bit are asked like any other', () => {
    const grey = drawn(120, 120, 'grey', (x, y) => [x >= 60 ? (y >= 60 ? 0 : 22) : 200]);
    expect(found(grey)?.colour).toEqual([22]);
    const deep = panels([20, 20, 25]);
    const data = Uint16Array.from(deep.data, (value) => value * 257);
    expect(found({ ...deep, data })?.colour).toEqual([20, 20, 25]);
  });
});
