import { describe, expect, test } from 'vitest';
import { measureCoverage } from '../../../pipeline/colour-faults/heaviest-inch.js';
import { processPlanes, type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { seeded } from '../../helpers/rasters.js';

/** At 60 ppi a square is a pixel: every window is looked at. */
const ppi = 60;

function page(
  width: number,
  height: number,
  inkAt: (x: number, y: number, ink: number) => number,
): Separation {
  const names = ['cyan', 'magenta', 'yellow', 'black'];
  return separationOf({ width, height }, (name) => {
    return Uint8Array.from({ length: width * height }, (_, i) =>
      inkAt(i % width, Math.floor(i / width), names.indexOf(name)),
    );
  });
}

/** The mean ink of a window, pixel by pixel. */
function meanPercent(inks: Separation, left: number, top: number, width: number, height: number): number {
  let sum = 0;
  for (const plane of processPlanes(inks)) {
    for (let y = top; y < top + height; y++) {
      for (let x = left; x < left + width; x++) sum += plane[y * inks.width + x];
    }
  }
  return (sum * 100) / 255 / width / height;
}

describe('the heaviest square inch', () => {
  test('is the one that adding up every window pixel by pixel finds', () => {
    const random = seeded(31);
    const inks = page(97, 83, (x, y) =>
      Math.floor(random() * (x > 20 && x < 90 && y > 9 && y < 75 ? 255 : 90)),
    );
    const { heaviest } = measureCoverage(inks, ppi);
    let best = { percent: -1, left: 0, top: 0 };
    for (let top = 0; top + ppi <= inks.height; top++) {
      for (let left = 0; left + ppi <= inks.width; left++) {
        const percent = meanPercent(inks, left, top, ppi, ppi);
        if (percent > best.percent) best = { percent, left, top };
      }
    }
    expect(heaviest).toMatchObject({ left: best.left, top: best.top, width: ppi, height: ppi });
    expect(heaviest.percent).toBeCloseTo(best.percent, 9);
  });

  test('at 300 ppi it is found to a sixtieth of an inch, its ink to the pixel', () => {
    const inks = page(700, 620, (x, y, ink) =>
      x >= 201 && x < 501 && y >= 133 && y < 433 && ink > 0 ? 255 : 0,
    );
    const { heaviest, meanPercent: mean } = measureCoverage(inks, 300);
    expect(Math.abs(heaviest.left - 201)).toBeLessThan(5);
    expect(Math.abs(heaviest.top - 133)).toBeLessThan(5);
    expect(heaviest.percent).toBeCloseTo(meanPercent(inks, heaviest.left, heaviest.top, 300, 300), 9);
    expect(mean).toBeCloseTo((300 * 300 * 300) / (700 * 620), 9);
  });

  test('is the whole page where that is smaller than an inch', () => {
    const { heaviest } = measureCoverage(
      page(40, 30, () => 51),
      ppi,
    );
    expect(heaviest).toMatchObject({ left: 0, top: 0, width: 40, height: 30 });
    expect(heaviest.percent).toBeCloseTo(80, 9);
  });
});
