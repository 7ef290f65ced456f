import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';

describe('the arena of a page', () => {
  it('frees what was allocated within a scope', async () => {
    const arena = new PageArena();
    const before = arena.nextAddress();
    await arena.scope(async () => arena.allocate(1000));
    expect(arena.nextAddress()).toBe(before);
  });

  it('frees what some work borrowed, in a scope and within other such work, and leaves what is free to others', async () => {
    const arena = new PageArena();
    const first = arena.allocate(10_000);
    const before = arena.nextAddress();
    arena.free(first);
    const found = arena.borrow(() => {
      const own = arena.allocate(500).fill(3);
      arena.borrow(() => arena.allocate(5000).fill(4));
      return own.every((byte) => byte === 3);
    });
    expect([found, arena.nextAddress()]).toEqual([true, before]);
    expect(arena.allocate(10_000 - 64).byteOffset).toBe(first.byteOffset);
    await arena.scope(async () => arena.borrow(() => arena.allocate(100)));
    expect(arena.nextAddress()).toBe(before);
  });

  it('keeps what outlives the scope, over whatever else was allocated', async () => {
    const arena = new PageArena();
    const left = await arena.scope(async () => {
      const start = arena.nextAddress();
      arena.allocate(100_000).fill(1);
      return arena.outlive(start, 5000)?.fill(2);
    });
    const next = arena.allocate(5000).fill(3);
    expect(left?.every((byte) => byte === 2)).toBe(true);
    expect(next.every((byte) => byte === 3)).toBe(true);
  });

  it('keeps beyond the scope what is asked for, and nothing that was allocated after it', async () => {
    const arena = new PageArena();
    const kept = await arena.scope(async () => {
      const file = arena.allocate(5000).fill(2);
      arena.allocate(100_000).fill(1);
      arena.keep(file);
      return file;
    });
    const next = arena.allocate(5000).fill(3);
    expect(kept.every((byte) => byte === 2)).toBe(true);
    expect(next.byteOffset).toBeLessThan(kept.byteOffset + 6000);
  });

  it('lets nothing outlive a scope that does not fit', () => {
    const arena = new PageArena();
    expect(arena.outlive(arena.nextAddress(), 2 ** 30)).toBeUndefined();
  });

  it('allocates apart what does not fit', () => {
    const arena = new PageArena();
    const large = arena.allocate(2 ** 29);
    expect([large.length, arena.has(large), arena.has(arena.allocate(1))]).toEqual([2 ** 29, false, true]);
  });

  it('gives the place of what is free to what is allocated next, as far as it reaches', () => {
    const arena = new PageArena();
    const first = arena.allocate(10_000);
    const beside = arena.allocate(64).fill(5);
    const end = arena.nextAddress();
    arena.free(first);
    const pieces = [arena.allocate(4000).fill(1), arena.allocate(4000).fill(2)];
    expect(arena.nextAddress()).toBe(end);
    arena.allocate(4000).fill(3);
    expect(arena.nextAddress()).toBeGreaterThan(end);
    const found = [...pieces, beside].map((bytes) => new Set(bytes));
    expect(found).toEqual([1, 2, 5].map((byte) => new Set([byte])));
  });

  it('joins what is freed beside each other, and nothing that somebody holds between', () => {
    const arena = new PageArena();
    const [first, second, held, third] = [1000, 2000, 1, 3000].map((length) => arena.allocate(length));
    held.fill(9);
    arena.free(first);
    arena.free(second);
    expect(arena.allocate(2900).byteOffset).toBe(first.byteOffset);
    arena.free(second);
    arena.free(third);
    arena.allocate(3000).fill(1);
    arena.allocate(1500).fill(1);
    expect(held[0]).toBe(9);
  });

  it('forgets what was free once it is reset', () => {
    const arena = new PageArena();
    arena.free(arena.allocate(10_000));
    arena.reset();
    const start = arena.nextAddress();
    arena.allocate(100);
    expect(arena.nextAddress()).toBeGreaterThan(start);
  });

  it('leaves what is pinned alone, page after page', () => {
    const arena = new PageArena();
    const pinned = arena.pin(1000).fill(4);
    for (let page = 0; page < 3; page++) {
      while (arena.has(arena.allocate(2 ** 24)));
      while (arena.has(arena.allocate(100).fill(9)));
      arena.reset();
    }
    expect(arena.has(pinned)).toBe(true);
    expect(pinned.every((byte) => byte === 4)).toBe(true);
  });

  it('refuses two scopes at a time', async () => {
    const arena = new PageArena();
    await expect(arena.scope(() => arena.scope(async () => undefined))).rejects.toThrow('two pages');
  });

  it('leaves another one as it is to whoever still works there', () => {
    const allocated = new PageArena().allocate(1000).fill(7);
    new PageArena().allocate(1000).fill(8);
    expect(allocated.every((byte) => byte === 7)).toBe(true);
  });

  it('says when there is something to reclaim to whoever made it, and by default to nobody', async () => {
    const said: unknown[] = [];
    const arena = new PageArena({
      decoded: async () => void said.push('decoded'),
      pictures: async (bytes) => void said.push(bytes),
    });
    await arena.reclaim.decoded();
    await arena.reclaim.pictures(17);
    await new PageArena().reclaim.pictures(18);
    expect(said).toEqual(['decoded', 17]);
  });
});
