import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';

// 34 pairs of Sharma, Wu and Dalal, 'The CIEDE2000 Color-Difference Formula', Color Research and Application 30(1),
// 2005, table 1, to its own four decimals. Row 11 as the formula gives it (7.2195).
const rows = readFileSync(new URL('ciede2000.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(',').map(Number));

describe('CIEDE2000', () => {
  it('has the whole published table to go by', () => {
    expect(rows.length).toBe(34);
  });

  it.each(rows.map((row, index) => [index + 1, row] as const))(
    'gives pair %i as published, both ways round',
    (_, row) => {
      const one: Lab = [row[0], row[1], row[2]];
      const two: Lab = [row[3], row[4], row[5]];
      expect(Math.abs(ciede2000(one, two) - row[6])).toBeLessThan(1e-4);
      expect(Math.abs(ciede2000(two, one) - row[6])).toBeLessThan(1e-4);
    },
  );

  it('finds no difference between a colour and itself', () => {
    expect(ciede2000([50, 20, -30], [50, 20, -30])).toBe(0);
  });
});
