import { describe, expect, it } from 'vitest';
import { clearDesk, desk } from '../../../pipeline/kernels/page-arena.js';

describe('the desk', () => {
  it('clears the shelf of what was held while work was done', async () => {
    const before = desk().shelfPlace();
    await desk().during(async () => desk().hold(1000));
    expect(desk().shelfPlace()).toBe(before);
  });

  it('keeps what the work leaves there, over whatever else was held', async () => {
    const left = await desk().during(async () => {
      const start = desk().shelfPlace();
      desk().hold(100_000).fill(1);
      return desk().holdFrom(start, 5000)?.fill(2);
    });
    const next = desk().hold(5000).fill(3);
    expect(left?.every((byte) => byte === 2)).toBe(true);
    expect(next.every((byte) => byte === 3)).toBe(true);
  });

  it('holds nothing where there is not so much room', () => {
    expect(desk().holdFrom(desk().shelfPlace(), 2 ** 30)).toBeUndefined();
  });

  it('gives the place of what is held no longer to what is held next, as far as it reaches', () => {
    clearDesk(false);
    const first = desk().hold(10_000);
    const beside = desk().hold(64).fill(5);
    const end = desk().shelfPlace();
    desk().release(first);
    const parts = [desk().hold(4000).fill(1), desk().hold(4000).fill(2)];
    expect(desk().shelfPlace()).toBe(end);
    desk().hold(4000).fill(3);
    expect(desk().shelfPlace()).toBeGreaterThan(end);
    expect([...parts, beside].map((held) => new Set(held))).toEqual([1, 2, 5].map((byte) => new Set([byte])));
  });

  it('forgets what was released once the shelf is cleared', () => {
    clearDesk(false);
    desk().release(desk().hold(10_000));
    clearDesk(false);
    const start = desk().shelfPlace();
    desk().hold(100);
    expect(desk().shelfPlace()).toBeGreaterThan(start);
  });

  it('refuses two pieces of work that each clear the shelf behind them', async () => {
    await expect(desk().during(() => desk().during(async () => undefined))).rejects.toThrow('two pages');
  });

  it('taken anew leaves the old one as it was to whoever still works there', () => {
    const old = desk();
    const held = old.hold(1000).fill(7);
    clearDesk(true);
    desk().hold(1000).fill(8);
    expect(desk()).not.toBe(old);
    expect(held.every((byte) => byte === 7)).toBe(true);
  });
});
