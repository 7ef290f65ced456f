import { describe, expect, it } from 'vitest';
import { LruCache } from '../../../pipeline/kernels/lru-cache.js';

describe('what was used last', () => {
  it('stays, and what was not asked for longest goes first', () => {
    const presses = new LruCache<number>(2);
    presses.set('cover', 1);
    presses.set('interior', 2);
    expect(presses.get('cover')).toBe(1);
    expect(presses.set('newsprint', 3)).toBe(3);
    expect(['cover', 'interior', 'newsprint'].map((name) => presses.get(name))).toEqual([1, undefined, 3]);
  });

  it('is not forgotten for a new value of its own', () => {
    const presses = new LruCache<number>(2);
    for (const value of [1, 2, 3]) presses.set('cover', value);
    presses.set('interior', 4);
    expect(presses.get('cover')).toBe(3);
  });
});
