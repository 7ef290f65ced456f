import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { inverted, mostOfFour, sumOf } from '../../../pipeline/kernels/samples.js';

const arena = new PageArena();

/** Samples with long even stretches and every value, longer than a band, in a length that is no multiple of 16. */
const samples = Uint8Array.from({ length: 70_003 }, (_, i) =>
  i < 1000 ? 255 : i < 2000 ? 0 : (i * 37 + (i >> 5)) % 256,
);
/** The same samples behind an odd start in memory. */
const odd = new Uint8Array([9, ...samples]).subarray(1);

describe.each([
  ['at an even start', samples],
  ['at an odd start', odd],
])('passes over samples %s', (_, data) => {
  it('turn paper into ink and back', () => {
    expect([...inverted(data, arena)]).toEqual(Array.from(samples, (value) => 255 - value));
    expect(data[0]).toBe(255);
  });

  it('add up exactly', () => {
    expect(sumOf(data, arena)).toBe(samples.reduce((sum, value) => sum + value, 0));
  });
});

describe('the most ink of four planes', () => {
  const planes = (at: number, inks: readonly number[]) => {
    const [c, m, y, k] = inks.map((ink) => new Uint8Array(35).fill(20).fill(ink, at, at + 1));
    return [c, m, y, k] as const;
  };

  it.each([0, 1, 7, 8, 15, 16, 31, 32, 34])('is found at place %i', (at) => {
    expect(mostOfFour([...planes(at, [255, 255, 255, 254])], arena)).toBe(1019);
    expect(mostOfFour([...planes(at, [0, 100, 3, 0])], arena)).toBe(103);
    expect(mostOfFour([...planes(at, [0, 0, 0, 0])], arena)).toBe(80);
  });
});

describe('the sum of samples', () => {
  it('holds for more full ink than 16 or 32 bits count', () => {
    expect(sumOf(new Uint8Array(20_000_003).fill(255), arena)).toBe(20_000_003 * 255);
  });

  it('is 0 for no samples', () => {
    expect(sumOf(new Uint8Array(0), arena)).toBe(0);
  });
});
