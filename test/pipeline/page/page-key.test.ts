import { describe, expect, test } from 'vitest';
import { stableJson } from '../../../pipeline/page/page-key.js';

describe('the text that keys are made from', () => {
  test('is JSON with the fields of every object in order, whatever their order was', () => {
    const one = { b: [1, { d: 'x', c: null }], a: { y: true, x: undefined }, B: 0.25 };
    const other = { a: { x: undefined, y: true }, B: 0.25, b: [1, { c: null, d: 'x' }] };
    expect(stableJson(one)).toBe('{"B":0.25,"a":{"y":true},"b":[1,{"c":null,"d":"x"}]}');
    expect(stableJson(other)).toBe(stableJson(one));
  });

  test('says of values what JSON says of them', () => {
    for (const value of ['"quoted"\n', 0, -0, Number.NaN, true, null, [], {}, [undefined]])
      expect(stableJson(value)).toBe(JSON.stringify(value));
  });
});
