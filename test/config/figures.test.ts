import { describe, expect, test } from 'vitest';
import { counted, figureBeside, formatLength, formatSize } from '../../config/figures.js';

describe('a figure beside the limit that it is held against', () => {
  test.each([
    [212.4, 300, 0, '212'],
    [298.4, 300, 0, '298'],
    [299.6, 300, 0, '299.6'],
    [299.99997, 300, 0, '300'],
    [299.99997, 600, 0, '300'],
    [30.04, 30, 1, '30.04'],
    [29.96, 30, 1, '29.96'],
    [30, 30, 1, '30.0'],
    [0.1004, 0.1, 2, '0.1004'],
    [0.34, 0.1, 2, '0.34'],
    [0.00001, 0, 1, '0.00001'],
    [0, 0, 1, '0.0'],
  ])('%d reads beside %d as it is held against it', (value, limit, decimals, text) => {
    expect(figureBeside(value, limit, decimals)).toBe(text);
  });
});

test('a number has its noun in the singular or in the plural', () => {
  expect([counted(1, 'channel'), counted(2, 'channel'), counted(0, 'copy', 'copies')]).toEqual([
    ...['1 channel', '2 channels', '0 copies'],
  ]);
});

test('a length reads as it was given, whatever the unit', () => {
  expect([formatLength(3.175, 'mm'), formatLength(0.25, 'mm'), formatLength(3.175, 'in')]).toEqual([
    ...['3.175 mm', '0.25 mm', '0.125 in'],
  ]);
  expect(formatSize({ widthMm: 168.275, heightMm: 210 }, 'mm')).toBe('168.275 x 210 mm');
  expect(formatSize({ widthMm: 168.275, heightMm: 260.35 }, 'in')).toBe('6.625 x 10.25 in');
});
