import { describe, expect, test } from 'vitest';
import { emptySpectrum } from '../../../pipeline/register/fft.js';
import { phaseCorrelation } from '../../../pipeline/register/phase-correlation.js';
import { seeded } from '../../helpers/rasters.js';

const side = 64;

/** Soft dots in the middle of a picture, and the same ones moved. */
function dots(dx: number, dy: number, seed: number): Float64Array {
  const random = seeded(seed);
  const picture = new Float64Array(side * side);
  for (let dot = 0; dot < 40; dot++) {
    const [cx, cy] = [12 + 40 * random() + dx, 12 + 40 * random() + dy];
    for (let y = 0, i = 0; y < side; y++) {
      for (let x = 0; x < side; x++, i++) {
        picture[i] += Math.exp(-((x - cx) ** 2 + (y - cy) ** 2) / 3);
      }
    }
  }
  return picture;
}

function shiftBetween(first: Float64Array, second: Float64Array) {
  const pair = emptySpectrum(side, side);
  pair.re.set(first);
  pair.im.set(second);
  return phaseCorrelation(pair);
}

describe('the shift between two pictures', () => {
  test.each([
    [0, 0],
    [5, -3],
    [0.5, 0.25],
    [-7.75, 2.4],
    [-0.1, 11],
  ])('of %f and %f pixels is found to a twentieth of a pixel', (dx, dy) => {
    const found = shiftBetween(dots(0, 0, 1), dots(dx, dy, 1));
    expect(Math.abs(found.dx - dx)).toBeLessThan(0.05);
    expect(Math.abs(found.dy - dy)).toBeLessThan(0.05);
    expect(found.clarity).toBeGreaterThan(12);
  });

  test('of two that have nothing in common is not clear', () => {
    expect(shiftBetween(dots(0, 0, 1), dots(0, 0, 2)).clarity).toBeLessThan(7);
  });

  test('of empty pictures is none', () => {
    expect(shiftBetween(new Float64Array(side * side), dots(0, 0, 1)).clarity).toBe(0);
  });
});
