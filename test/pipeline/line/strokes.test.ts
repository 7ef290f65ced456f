import { describe, expect, test } from 'vitest';
import { lineStrokes } from '../../../pipeline/line/strokes.js';
import { bitsOf, plateOf } from '../../helpers/rasters.js';

/** 600 ppi: 2 mm are 47 px. */
const [width, height, ppi] = [600, 800, 600];
const mm = (px: number) => (px * 25.4) / ppi;

/** Rings about the middle: strokes in all directions. */
const rings = (px: number, area: (x: number, y: number) => boolean = () => false) =>
  bitsOf(
    plateOf(width, height, (x, y) => (area(x, y) || Math.hypot(x - 299.6, y - 400.3) % 60 < px ? 255 : 0)),
  );

describe('the strokes of a line', () => {
  test('are as wide as they were drawn to a sixth, in all directions together', () => {
    for (const px of [4, 8, 16]) {
      const share = (lineStrokes(rings(px), ppi)?.widthMm ?? 0) / mm(px);
      expect(Math.abs(share - 1)).toBeLessThan(1 / 6);
    }
  });

  test('are no areas of black, however much of the page these take', () => {
    const day = lineStrokes(rings(6), ppi);
    const night = lineStrokes(
      rings(6, (x, y) => x > 60 && y > 400),
      ppi,
    );
    expect((night?.widthMm ?? 0) / (day?.widthMm ?? 1)).toBeCloseTo(1, 0.7);
    expect(night?.coveragePercent).toBeLessThan(day?.coveragePercent ?? 0);
  });

  test('are told with their share of the page', () => {
    const upright = bitsOf(plateOf(width, height, (x) => (x % 20 < 5 ? 255 : 0)));
    expect(lineStrokes(upright, ppi)?.coveragePercent).toBeCloseTo(25);
  });

  test('are none on a page with a few words', () => {
    const few = bitsOf(plateOf(width, height, (x, y) => (y < 40 && x % 20 < 5 ? 255 : 0)));
    expect(lineStrokes(few, ppi)).toBeUndefined();
  });
});
