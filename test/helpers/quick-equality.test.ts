import { describe, expect, test } from 'vitest';
import { sameSamples } from './quick-equality.js';

const shifted = (bytes: readonly number[]) => new Uint8Array([99, ...bytes]).subarray(1);

describe('samples that are compared as bytes', () => {
  test.each([
    ['the same', new Uint8Array([1, 2, 3]), shifted([1, 2, 3]), true],
    ['another value', new Uint8Array([1, 2, 3]), new Uint8Array([1, 2, 4]), false],
    ['one more', new Uint8Array([1, 2, 3]), new Uint8Array([1, 2, 3, 0]), false],
    ['the same in 16 bit', new Uint16Array([1, 65535]), new Uint16Array([1, 65535]), true],
    ['another value in 16 bit', new Uint16Array([1, 65535]), new Uint16Array([1, 65534]), false],
    ['another value in 32 bit', new Uint32Array([2 ** 31]), new Uint32Array([2 ** 31 + 1]), false],
  ])('are told equal or not: %s', (_what, one, other, verdict) => {
    expect(sameSamples(one, other)).toBe(verdict);
    if (verdict) expect({ data: one }).toEqual({ data: other });
    else expect({ data: one }).not.toEqual({ data: other });
  });

  test.each([
    ['unequal kinds', new Uint8Array([1]), new Uint16Array([1])],
    ['a file’s bytes and plain ones', Buffer.from([1]), new Uint8Array([1])],
    ['numbers with fractions', new Float32Array([0.5]), new Float32Array([0.5])],
    ['plain numbers', [1, 2], [1, 2]],
  ])('are no matter of bytes where they are %s', (_what, one, other) => {
    expect(sameSamples(one, other)).toBeUndefined();
  });
});
