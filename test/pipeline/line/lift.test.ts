import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { liftBlack, liftBlackInk } from '../../../pipeline/line/lift.js';
import type { Plate, Raster } from '../../../pipeline/model/raster.js';
import { drawn, pixelAt } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();

const size = { ppi: 300, depthPx: 14 };
/** Lifted from a page on which there is ink. */
function lifted(picture: Raster): { line: Plate; colour: Raster } {
  const { line, colour } = liftBlack(picture, lineSettings, size, arena);
  if (line === undefined) throw new Error('nothing was lifted');
  return { line, colour };
}

/** Left of the line blue, right of it paper; the line is four pixels wide with a half covered pixel on either side. */
const blue = [40, 60, 160];
const page = () =>
  drawn(80, 40, 'rgb', (x) => {
    if (x >= 38 && x < 42) return [0, 0, 0];
    if (x === 37) return [20, 30, 80];
    if (x === 42) return [128, 128, 128];
    return x < 38 ? blue : [255, 255, 255];
  });

describe('black lifted from a flat page', () => {
  const { line, colour } = lifted(page());
  const inkAt = (x: number) => line.data[20 * 80 + x];

  test('takes solid black as full ink and its soft edge in its share', () => {
    expect([38, 39, 40, 41].map(inkAt)).toEqual([255, 255, 255, 255]);
    expect(Math.abs(inkAt(42) - 128)).toBeLessThanOrEqual(2);
    expect(Math.abs(inkAt(37) - 128)).toBeLessThanOrEqual(4);
  });

  test('does not take a dark colour beside the line for ink', () => {
    expect(inkAt(36)).toBe(0);
    expect(inkAt(43)).toBe(0);
  });

  test('leaves colour beneath the line, carried in from both sides', () => {
    expect(pixelAt(colour, 38, 20)).toEqual(blue);
    expect(pixelAt(colour, 41, 20)).toEqual([255, 255, 255]);
    for (let x = 36; x < 44; x++) expect(Math.max(...pixelAt(colour, x, 20))).toBeGreaterThan(100);
  });

  test('leaves colour away from the line as it was', () => {
    expect(pixelAt(colour, 10, 20)).toEqual(blue);
    expect(pixelAt(colour, 70, 20)).toEqual([255, 255, 255]);
  });

  test('leaves a dark colour alone', () => {
    const night = drawn(20, 20, 'rgb', () => [18, 22, 60]);
    expect(liftBlack(night, lineSettings, size, arena).line).toBeUndefined();
  });

  test('works in 16 bit and in grey', () => {
    const deep = { ...page(), data: Uint16Array.from(page().data, (value) => value * 257) };
    expect(lifted(deep).line.data[20 * 80 + 40]).toBe(255);
    const grey = lifted(drawn(40, 40, 'grey', (x) => [x === 20 ? 0 : 200]));
    expect(grey.line.data[40 * 15 + 20]).toBe(255);
    expect(pixelAt(grey.colour, 20, 20)).toEqual([200]);
  });
});

test('black ink of a CMYK page is copied to the line plate and its numbers stay', () => {
  const inks = drawn(100, 100, 'cmyk', (x) => (x < 50 ? [0, 0, 0, 255] : [100, 0, 0, 120]));
  const { line, colour } = liftBlackInk(inks, lineSettings, size, arena);
  expect(colour).toBe(inks);
  expect(line?.data[5]).toBe(255);
  expect(line?.data[75]).toBe(0);
});
