import { describe, expect, it } from 'vitest';
import { LastUsed } from '../../../pipeline/kernels/lru-cache.js';

describe('what was used last', () => {
  it('is kept, and what was not asked for longest goes first', () => {
    const presses = new LastUsed<number>(2);
    presses.keep('cover', 1);
    presses.keep('interior', 2);
    expect(presses.get('cover')).toBe(1);
    expect(presses.keep('newsprint', 3)).toBe(3);
    expect(['cover', 'interior', 'newsprint'].map((name) => presses.get(name))).toEqual([1, undefined, 3]);
  });

  it('is not forgotten for a new value of its own', () => {
    const presses = new LastUsed<number>(2);
    for (const value of [1, 2, 3]) presses.keep('cover', value);
    presses.keep('interior', 4);
    expect(presses.get('cover')).toBe(3);
  });
});
