import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { findPaintedLine } from '../../../pipeline/line/painted-line.js';
import { isSet } from '../../../pipeline/model/raster.js';
import { drawn, pixelAt, plateOf } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();

const [width, height] = [240, 160];

/** Strokes of three pixels every 40, and a large spotted black at the right. */
const isStroke = (x: number, y: number) => x < 160 && (x % 40 < 3 || y % 40 < 3);
const isSpotted = (x: number, y: number) => x >= 180 && x < 230 && y >= 20 && y < 140;
const isLine = (x: number, y: number) => isStroke(x, y) || isSpotted(x, y);
const coverage = plateOf(width, height, (x, y) => (isLine(x, y) ? 255 : 0));
const sky = (x: number, y: number) => [120 + (x >> 3), 160 + (y >> 3), 230];
const find = (sample: (x: number, y: number) => readonly number[]) =>
  findPaintedLine(drawn(width, height, 'rgb', sample), coverage, lineSettings, 14, arena);

describe('a colour part without the line', () => {
  test('keeps its colour and all of the line', () => {
    expect(find(sky)).toMatchObject({ painted: false, held: undefined, heldPercent: 0 });
  });

  test.each([
    ['dark grey', [40, 40, 44]],
    ['black', [0, 0, 0]],
    ['night blue', [20, 26, 60]],
  ])('keeps all of the line when a spotted black has %s beneath it', (_name, dark) => {
    const found = find((x, y) => (isSpotted(x, y) ? dark : sky(x, y)));
    expect(found).toMatchObject({ painted: false, held: undefined });
  });

  test('keeps all of the line when the fills stop short beneath it and leave paper', () => {
    const found = find((x, y) => (isLine(x, y) ? [255, 255, 255] : sky(x, y)));
    expect(found).toMatchObject({ painted: false, held: undefined });
  });

  test('keeps all of the line where it is the border between two colours', () => {
    const found = find((x, y) => ((x - 1) % 80 < 40 ? [200, 60, 40] : sky(x, y)));
    expect(found).toMatchObject({ painted: false, held: undefined });
  });

  test('keeps all of the line on dark art, where nothing tells', () => {
    const found = find(() => [18, 16, 24]);
    expect(found).toMatchObject({ painted: false, held: undefined });
  });
});

describe('a colour part with the line painted in', () => {
  const painted = (x: number, y: number) => (isLine(x, y) ? [6, 6, 6] : sky(x, y));

  test('has the colour carried in beneath its black line', () => {
    const found = find(painted);
    expect(found).toMatchObject({ painted: true, held: undefined, heldPercent: 0 });
    const [red, green, blue] = pixelAt(found.colour, 41, 60);
    expect(Math.max(Math.abs(red - 125), Math.abs(green - 167), Math.abs(blue - 230))).toBeLessThan(8);
  });

  test('gives the pieces that are coloured to the colour plates', () => {
    const hold = (x: number, y: number) => isStroke(x, y) && y < 40;
    const found = find((x, y) => (hold(x, y) ? [130, 60, 20] : painted(x, y)));
    expect(found.painted).toBe(true);
    expect(found.held && isSet(found.held, 41, 20)).toBe(true);
    expect(found.held && isSet(found.held, 41, 70)).toBe(false);
    expect(pixelAt(found.colour, 41, 20)).toEqual([130, 60, 20]);
  });

  test('prints in colour altogether when every stroke is coloured', () => {
    const found = find((x, y) => (isLine(x, y) ? [90, 50, 20] : sky(x, y)));
    expect(found.painted).toBe(true);
    expect(found.heldPercent).toBeGreaterThan(95);
  });

  test('gives the line that a glow hides to the colour plates', () => {
    const glow = (x: number, y: number) => Math.hypot(x - 60, y - 60) < 25;
    const found = find((x, y) => (glow(x, y) ? [255, 244, 190] : painted(x, y)));
    expect(found.painted).toBe(true);
    expect(found.held && isSet(found.held, 41, 60)).toBe(true);
  });
});
