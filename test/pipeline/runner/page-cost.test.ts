import { describe, expect, test } from 'vitest';
import {
  PixelBudget,
  pageMemoryBytes,
  pagePixels,
  pixelsWithin,
} from '../../../pipeline/runner/page-cost.js';
import { testPage } from '../../helpers/reconcile-job.js';
import { specWith } from '../../helpers/specs.js';

const inch = 25.4;
/** 4350 x 6300 pixels at 600 ppi. */
const spec = specWith({
  trim: { widthMm: 7 * inch, heightMm: 10.25 * inch },
  bleedMm: inch / 8,
  linePpi: 600,
});
const page = testPage('1', [1], { spec });

describe('the memory that a page counts as', () => {
  test('is 700 MB for a usual page at 600 ppi', () => {
    const pixels = pagePixels({ page, files: [{ bytes: 9e6 }, { bytes: 2e5 }] });
    expect(pixels).toBe(4350 * 6300);
    expect(pixelsWithin(pageMemoryBytes)).toBeLessThan(pixels);
    expect(pixelsWithin(1.02 * pageMemoryBytes)).toBeGreaterThan(pixels);
  });

  test('grows with what its files hold', () => {
    expect(pagePixels({ page, files: [{ bytes: 300e6 }] })).toBe(100e6);
  });
});

describe('the pixel budget of a run', () => {
  test('has room for what fits beside what is in hand', async () => {
    const budget = new PixelBudget(10);
    await budget.during(6, async () => {
      expect(budget.hasRoomFor(4)).toBe(true);
      expect(budget.hasRoomFor(5)).toBe(false);
    });
    expect(budget.hasRoomFor(5)).toBe(true);
  });

  test('has room for what is larger than all of it alone, and gives room back after a failure', async () => {
    const budget = new PixelBudget(10);
    expect(budget.hasRoomFor(50)).toBe(true);
    await expect(budget.during(50, () => Promise.reject(new Error('damaged')))).rejects.toThrow('damaged');
    expect(budget.hasRoomFor(10)).toBe(true);
  });
});
