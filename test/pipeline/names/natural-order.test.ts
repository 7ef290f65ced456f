import { expect, test } from 'vitest';
import { compareNaturally } from '../../../pipeline/names/incoming.js';

test('names stand in the order that people count in', () => {
  const names = ['p10.tif', 'p2.tif', 'P1.tif', 'cover.tif', 'p02b.tif'];
  expect(names.sort(compareNaturally)).toEqual(['cover.tif', 'P1.tif', 'p2.tif', 'p02b.tif', 'p10.tif']);
});

test('names that people read alike still have one fixed order', () => {
  const alike = ['p01.tif', 'p1.tif', 'P1.tif', '\u00e9.tif', 'e\u0301.tif'];
  const sorted = [...alike].sort(compareNaturally);
  expect([...alike].reverse().sort(compareNaturally)).toEqual(sorted);
  for (const name of alike) expect(compareNaturally(name, name)).toBe(0);
});
