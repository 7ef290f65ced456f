import { describe, expect, test, vi } from 'vitest';
import { SettlingTable } from '../../../watch/daemon/settling.js';

/** A table with a clock that the test moves: 2 s to settle, 30 s for what cannot be read. */
function tableAt() {
  let nowMs = 0;
  const table = new SettlingTable({ settleMs: 2000, graceMs: 30_000 }, () => nowMs);
  const look = (
    atMs: number,
    ...files: { name: string; bytes?: number; mtimeMs?: number; inode?: number }[]
  ) => {
    nowMs = atMs;
    table.look(
      files.map(({ name, bytes = 10, mtimeMs = Date.now(), inode = 1 }) => {
        return { name, bytes, mtimeMs, ctimeMs: mtimeMs, inode };
      }),
    );
  };
  return { table, look };
}

const now = Date.now();
const page = { name: 'p01.tif', mtimeMs: now };

describe('a file is whole', () => {
  test('when two looks agree that lie the settling time apart', () => {
    const { table, look } = tableAt();
    look(0, page);
    expect(table.stageOf('p01.tif')).toBe('arriving');
    look(1999, page);
    expect(table.stageOf('p01.tif')).toBe('arriving');
    expect(table.nextLookMs()).toBe(1);
    look(2000, page);
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.nextLookMs()).toBeUndefined();
  });

  test('likely after a tenth of that time, so that it can be worked on ahead', () => {
    const { table, look } = tableAt();
    look(0, page);
    expect(table.isLikelyWhole('p01.tif')).toBe(false);
    expect(table.nextLookMs()).toBe(200);
    look(200, page);
    expect(table.isLikelyWhole('p01.tif')).toBe(true);
    expect(table.stageOf('p01.tif')).toBe('arriving');
    expect(table.nextLookMs()).toBe(1800);
    look(1000, { ...page, bytes: 11 });
    expect(table.isLikelyWhole('p01.tif')).toBe(false);
    look(2000);
    expect(table.isLikelyWhole('p01.tif')).toBe(false);
  });

  test('not even likely while it is empty', () => {
    const { table, look } = tableAt();
    look(0, { ...page, bytes: 0 });
    look(1000, { ...page, bytes: 0 });
    expect(table.isLikelyWhole('p01.tif')).toBe(false);
  });

  test.each([
    ['its size', { bytes: 11 }],
    ['its time', { mtimeMs: now + 1 }],
    ['its number on the disk', { inode: 2 }],
  ])('not while %s changes', (_what, change) => {
    const { table, look } = tableAt();
    look(0, page);
    look(1500, { ...page, ...change });
    look(2500, { ...page, ...change });
    expect(table.stageOf('p01.tif')).toBe('arriving');
    look(3500, { ...page, ...change });
    expect(table.stageOf('p01.tif')).toBe('whole');
  });

  test('at once when nobody has touched it for long before the first look', () => {
    const { table, look } = tableAt();
    look(0, { ...page, mtimeMs: now - 3_600_000 });
    expect(table.stageOf('p01.tif')).toBe('whole');
  });

  test('only after the longer time when it is empty: it may be about to be filled', () => {
    const { table, look } = tableAt();
    look(0, { ...page, bytes: 0 });
    look(5000, { ...page, bytes: 0 });
    expect(table.stageOf('p01.tif')).toBe('arriving');
    expect(table.files()[0].bytes).toBe(1);
    look(30_000, { ...page, bytes: 0 });
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.files()[0].bytes).toBe(0);
  });
});

describe('the wall clock', () => {
  const hourMs = 3_600_000;

  test.each([
    ['forward', hourMs],
    ['back', -hourMs],
  ])('may jump %s: a file settles in the same time, also one that comes after the jump', (_way, jumpMs) => {
    vi.useFakeTimers({ toFake: ['Date'], now });
    try {
      const { table, look } = tableAt();
      look(0, page);
      vi.setSystemTime(now + jumpMs);
      // Dropped before the jump, first seen after it: to the wall clock it looks an hour old, or not yet written.
      const dropped = { name: 'p02.tif', mtimeMs: now };
      look(1000, page, dropped);
      expect([table.stageOf('p01.tif'), table.stageOf('p02.tif')]).toEqual(['arriving', 'arriving']);
      look(2000, page, dropped);
      expect([table.stageOf('p01.tif'), table.stageOf('p02.tif')]).toEqual(['whole', 'arriving']);
      look(3000, page, dropped);
      expect(table.stageOf('p02.tif')).toBe('whole');
      vi.setSystemTime(now);
      table.doubt('p02.tif');
      expect(table.isOld('p02.tif')).toBe(false);
      look(31_000, page, dropped);
      expect([table.stageOf('p01.tif'), table.stageOf('p02.tif')]).toEqual(['whole', 'whole']);
    } finally {
      vi.useRealTimers();
    }
  });
});

describe('a file that goes away', () => {
  test('is still counted for the settling time, because programs save by moving files about', () => {
    const { table, look } = tableAt();
    const other = { name: 'p02.tif', mtimeMs: now };
    look(0, page, other);
    look(2000, page, other);
    look(3000, other);
    expect(table.stageOf('p01.tif')).toBe('leaving');
    look(4999, other);
    expect(table.names()).toContain('p01.tif');
    look(5000, other);
    expect(table.names()).toEqual(['p02.tif']);
  });

  test('together with all others is believed later: it may be the disk that went', () => {
    const { table, look } = tableAt();
    look(0, page, { name: 'p02.tif' });
    look(2000, page, { name: 'p02.tif' });
    look(3000);
    look(10_000);
    expect(table.names()).toHaveLength(2);
    look(33_000);
    expect(table.names()).toEqual([]);
  });
});

describe('a file in a folder that cannot be opened', () => {
  /** Two pages that are whole, one of them in a folder that is closed from then on. */
  function tableWithClosedFolder() {
    let nowMs = 0;
    const table = new SettlingTable({ settleMs: 2000, graceMs: 30_000 }, () => nowMs);
    const listed = (name: string) => ({ name, bytes: 10, mtimeMs: now, ctimeMs: now, inode: 1 });
    const look = (atMs: number, names: readonly string[], hidden: readonly string[] = []) => {
      nowMs = atMs;
      table.look(names.map(listed), hidden);
    };
    look(0, ['p01.tif', 'scene2/p02.tif']);
    look(2000, ['p01.tif', 'scene2/p02.tif']);
    return { table, look };
  }

  test('is not gone, however long that lasts, and is as it was when the folder can be opened', () => {
    const { table, look } = tableWithClosedFolder();
    for (const atMs of [3000, 6000, 90_000]) look(atMs, ['p01.tif'], ['scene2/']);
    expect(table.stageOf('scene2/p02.tif')).toBe('hidden');
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.names()).toEqual(['p01.tif', 'scene2/p02.tif']);
    expect(table.nextLookMs()).toBeUndefined();
    look(91_000, ['p01.tif', 'scene2/p02.tif']);
    expect(table.stageOf('scene2/p02.tif')).toBe('whole');
  });

  test('does not call for another look while it cannot be looked at, also when it was on its way', () => {
    const { table, look } = tableWithClosedFolder();
    look(3000, ['p01.tif', 'scene2/p02.tif', 'scene2/p03.tif']);
    look(3500, ['p01.tif'], ['scene2/']);
    look(60_000, ['p01.tif'], ['scene2/']);
    expect(table.nextLookMs()).toBeUndefined();
  });

  test('leaves the others as they would be: one that goes is gone, and waits no longer than usual', () => {
    const { table, look } = tableWithClosedFolder();
    look(3000, [], ['scene2/']);
    look(5000, [], ['scene2/']);
    expect(table.names()).toEqual(['scene2/p02.tif']);
  });

  test('is gone when the folder can be opened and it is not there', () => {
    const { table, look } = tableWithClosedFolder();
    look(3000, ['p01.tif'], ['scene2/']);
    look(10_000, ['p01.tif']);
    expect(table.stageOf('scene2/p02.tif')).toBe('leaving');
    look(12_000, ['p01.tif']);
    expect(table.stageOf('scene2/p02.tif')).toBeUndefined();
  });

  test('counts as hidden also when it was never seen', () => {
    const { table, look } = tableWithClosedFolder();
    look(3000, ['p01.tif'], ['scene2/', 'p09.tif']);
    expect(table.isBeyondKnowing('scene2/p02.tif')).toBe(false);
    for (const name of ['scene2/p07.tif', 'p09.tif']) {
      expect(table.stageOf(name)).toBe('hidden');
      expect(table.isBeyondKnowing(name)).toBe(true);
    }
    expect(table.stageOf('scene20/p07.tif')).toBeUndefined();
  });
});

describe('a file that cannot be read to its end', () => {
  test('counts as arriving until its time is up, and then is believed to be broken', () => {
    const { table, look } = tableAt();
    look(0, page);
    look(2000, page);
    expect(table.mayGetBetter('p01.tif')).toBe(true);
    expect(table.doubt('p01.tif')).toBe(true);
    expect(table.stageOf('p01.tif')).toBe('arriving');
    look(29_000, page);
    expect(table.stageOf('p01.tif')).toBe('arriving');
    look(30_000, page);
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.mayGetBetter('p01.tif')).toBe(false);
  });

  test('is tried twice when it is old, because a disk may fail for a moment', () => {
    const { table, look } = tableAt();
    const old = { ...page, mtimeMs: now - 3_600_000 };
    look(0, old);
    expect(table.mayGetBetter('p01.tif')).toBe(true);
    table.doubt('p01.tif');
    look(1, old);
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.mayGetBetter('p01.tif')).toBe(false);
  });

  test('gets its time anew when it changes', () => {
    const { table, look } = tableAt();
    look(0, page);
    look(2000, page);
    table.doubt('p01.tif');
    look(29_000, { ...page, bytes: 20 });
    look(31_000, { ...page, bytes: 20 });
    expect(table.stageOf('p01.tif')).toBe('whole');
    expect(table.mayGetBetter('p01.tif')).toBe(true);
  });
});
