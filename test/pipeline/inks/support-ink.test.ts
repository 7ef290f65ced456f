import { describe, expect, test } from 'vitest';
import { addSupportInk, supportArea } from '../../../pipeline/inks/support-ink.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { coverageOf } from '../../../pipeline/line/coverage.js';
import { grow, shrink } from '../../../pipeline/line/morphology.js';
import type { Plate } from '../../../pipeline/model/raster.js';
import { type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { inkAt, planesOf } from '../../helpers/plates.js';
import { bitsOf, plateOf, plateOfBits, seeded } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

const arena = new PageArena();

const { support } = specWith();
const ppi = 300;
/** 2 mm at 300 ppi are 24 pixels, the choke of 0.25 mm is 3 pixels. */
const black = plateOf(120, 120, (x, y) =>
  x >= 20 && x < 80 && y >= 20 && y < 80 ? 255 : x === 100 ? 255 : 0,
);

function paper(width: number, height: number): Separation {
  return separationOf({ width, height }, () => new Uint8Array(width * height));
}

/** Where support goes, 255 there. */
const areaOf = (coverage: Plate) => plateOfBits(supportArea(coverage, support, ppi, arena)).data;

describe('support ink', () => {
  test('lies beneath a spotted black, pulled back from its edge by the choke', () => {
    const area = areaOf(black);
    const at = (x: number, y: number) => area[y * 120 + x];
    expect(at(50, 50)).toBe(255);
    expect(at(23, 50)).toBe(255);
    expect(at(22, 50)).toBe(0);
    expect(at(76, 50)).toBe(255);
    expect(at(77, 50)).toBe(0);
  });

  test('does not lie beneath a line', () => {
    expect(areaOf(black)[60 * 120 + 100]).toBe(0);
  });

  test('follows the black into its tips, so that no edge of it shows within the black', () => {
    // A wedge that narrows from 60 pixels to nothing: support ends where two chokes meet, not where it was wide enough.
    const wedge = plateOf(200, 100, (x, y) => (Math.abs(y - 50) <= (200 - x) * 0.15 ? 255 : 0));
    const area = areaOf(wedge);
    const middleRow = [...area.slice(50 * 200, 51 * 200)];
    const end = middleRow.lastIndexOf(255);
    expect(middleRow.slice(0, end + 1).every((value) => value === 255)).toBe(true);
    // Half as high as the choke of 3 pixels at x = 180.
    expect(end).toBeGreaterThan(165);
    expect(end).toBeLessThanOrEqual(180);
  });

  test('runs through the bleed to the edge of the page', () => {
    const bleeding = plateOf(100, 100, (x) => (x < 50 ? 255 : 0));
    expect(areaOf(bleeding)[50 * 100]).toBe(255);
  });

  test('is one and the same beneath one black, 60/40/40 by default, over whatever was there', () => {
    const inks = paper(120, 120);
    for (const plane of Object.values(planesOf(inks)))
      for (let i = 0; i < plane.length; i += 2) plane[i] = 200;
    addSupportInk(inks, black, support, ppi, 300, arena);
    for (const i of [50 * 120 + 50, 50 * 120 + 51]) {
      expect(inkAt(inks, i).slice(0, 3)).toEqual([153, 102, 102]);
    }
  });

  test('is lowered where black and support together would pass the ink limit', () => {
    const inks = paper(120, 120);
    addSupportInk(inks, black, support, ppi, 170, arena);
    const i = 50 * 120 + 50;
    const [cyan, magenta, yellow] = inkAt(inks, i);
    expect((100 * (cyan + magenta + yellow)) / 255).toBeLessThanOrEqual(70);
  });

  test('stays out when the job switches it off', () => {
    const inks = paper(120, 120);
    expect(addSupportInk(inks, black, { ...support, enabled: false }, ppi, 300, arena)).toBe(0);
    expect(planesOf(inks).cyan.every((ink) => ink === 0)).toBe(true);
  });
});

test('shrinking and growing equal their slow definitions', () => {
  const random = seeded(3);
  const mask = plateOf(41, 33, () => (random() < 0.85 ? 255 : 0)).data;
  const slow = (x: number, y: number, distance: number, growing: boolean) => {
    for (let v = y - distance; v <= y + distance; v++) {
      for (let u = x - distance; u <= x + distance; u++) {
        if (u < 0 || v < 0 || u >= 41 || v >= 33) continue;
        if ((mask[v * 41 + u] !== 0) === growing) return growing ? 255 : 0;
      }
    }
    return growing ? 0 : 255;
  };
  for (const distance of [1, 2, 5]) {
    const bits = bitsOf({ width: 41, height: 33, data: mask });
    const shrunk = plateOfBits(shrink(bits, distance, arena)).data;
    const grown = plateOfBits(grow(bits, distance, arena)).data;
    for (let y = 0; y < 33; y++) {
      for (let x = 0; x < 41; x++) {
        expect(shrunk[y * 41 + x], `shrunk by ${distance} at ${x}, ${y}`).toBe(slow(x, y, distance, false));
        expect(grown[y * 41 + x], `grown by ${distance} at ${x}, ${y}`).toBe(slow(x, y, distance, true));
      }
    }
  }
});

describe('coverage of coarser pixels by a line plate', () => {
  test('is the mean of two by two at twice the resolution', () => {
    const fine = plateOf(4, 2, (x, y) => (x === 0 || (x === 2 && y === 0) ? 255 : 0));
    expect([...coverageOf(bitsOf(fine), { width: 2, height: 1 }, arena).data]).toEqual([128, 64]);
  });

  test('keeps the area of ink at any ratio', () => {
    const random = seeded(11);
    const fine = plateOf(203, 307, () => (random() < 0.4 ? 255 : 0));
    const coarse = coverageOf(bitsOf(fine), { width: 101, height: 154 }, arena);
    const mean = (data: Uint8Array) => data.reduce((sum, value) => sum + value, 0) / data.length;
    expect(mean(coarse.data)).toBeCloseTo(mean(fine.data), 0);
  });

  /** The mean over the area of one coarse pixel, fine pixel by fine pixel. */
  function areaMean(
    { width, height, data }: Plate,
    size: { width: number; height: number },
    x: number,
    y: number,
  ) {
    const inside = (i: number, fine: number, coarse: number, at: number) =>
      Math.max(0, Math.min(i + 1, ((at + 1) * fine) / coarse) - Math.max(i, (at * fine) / coarse));
    let sum = 0;
    for (let row = 0; row < height; row++) {
      const share = inside(row, height, size.height, y);
      for (let column = 0; share > 0 && column < width; column++) {
        sum += data[row * width + column] * share * inside(column, width, size.width, x);
      }
    }
    return (sum * size.width * size.height) / (width * height);
  }

  test.each([
    // A trim of 6.625 inches with bleed, at 600 and 300 ppi, has an odd number of pixels; here a twentieth of it.
    [207, 61, 104, 31],
    [100, 30, 63, 29],
    [260, 40, 13, 8],
    [90, 70, 90, 35],
  ])('is the mean of the area at any ratio: %i x %i to %i x %i', (width, height, toWidth, toHeight) => {
    const size = { width: toWidth, height: toHeight };
    // Solids, paper and grain side by side.
    const random = seeded(5);
    const fine = plateOf(width, height, (x, y) =>
      x % 60 < 20 ? 255 : x % 60 < 40 ? 0 : random() < 0.5 || y % 9 === 0 ? 255 : 0,
    );
    const { data } = coverageOf(bitsOf(fine), size, arena);
    const off = Array.from(data, (got, i) =>
      Math.abs(got - areaMean(fine, size, i % toWidth, Math.floor(i / toWidth))),
    );
    expect(Math.max(...off)).toBeLessThan(0.501);
  });
});
