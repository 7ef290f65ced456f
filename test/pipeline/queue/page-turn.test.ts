import { describe, expect, test } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { droppedText, failureText, failureTold, mayPass } from '../../../pipeline/queue/job-outcome.js';
import { jobIdOf, priorityOf, sheetPriority } from '../../../pipeline/queue/page-job.js';
import { type WatchedWork, watchedRank } from '../../../pipeline/runner/scheduler.js';
import { Turns } from '../../../watch/worker/turns.js';

const hourMs = 3_600_000;
const now = Date.UTC(2026, 10, 29, 12);

describe('whose turn it is on a queue', () => {
  /** In the order in which they are to be taken. */
  const inOrder: readonly WatchedWork[] = [
    { products: 'proof', dueMs: now - 400 * 24 * hourMs, pixels: 40e6 },
    { products: 'proof', dueMs: now, pixels: 4e6 },
    { products: 'proof', dueMs: now, pixels: 30e6 },
    { products: 'proof', dueMs: now + 2 * hourMs, pixels: 4e6 },
    { products: 'proof', dueMs: now + 3000 * 24 * hourMs, pixels: 4e6 },
    { products: 'proof', dueMs: Number.POSITIVE_INFINITY, pixels: 4e6 },
    { products: 'press', dueMs: now, pixels: 4e6 },
    { products: 'press', dueMs: now, pixels: 200e6 },
    { products: 'press', dueMs: now + 2 * hourMs, pixels: 1e6 },
    { products: 'press', dueMs: Number.POSITIVE_INFINITY, pixels: 1e12 },
  ];

  test('proofs go first, then what is due soonest, then small before large', () => {
    const priorities = inOrder.map(priorityOf);
    expect(priorities.toSorted((one, other) => one - other)).toEqual(priorities);
    expect(new Set(priorities).size).toBe(inOrder.length);
    expect(sheetPriority).toBeLessThan(priorities[1]);
  });

  test('is what it is on one machine', () => {
    const ranked = inOrder
      .map((turn) => ({
        turn,
        rank: watchedRank(turn),
      }))
      .toSorted((one, other) => {
        const at = one.rank.findIndex((value, index) => value !== other.rank[index]);
        return at < 0 || one.rank[at] < other.rank[at] ? -1 : 1;
      });
    expect(ranked.map(({ turn }) => turn)).toEqual(inOrder);
  });

  test('is told in what the library takes: 1 to 2,097,151', () => {
    const far = [-1e15, 0, 1e15, Number.POSITIVE_INFINITY];
    const turns = far.flatMap((dueMs) =>
      [1, 1e15].flatMap((pixels) =>
        (['proof', 'press'] as const).map((products) => ({ products, dueMs, pixels })),
      ),
    );
    for (const priority of turns.map(priorityOf)) {
      expect(Number.isInteger(priority)).toBe(true);
      expect(priority).toBeGreaterThanOrEqual(1);
      expect(priority).toBeLessThanOrEqual(2_097_151);
    }
  });

  test('belongs to work that is named by what comes of it', () => {
    const key = 'ab'.repeat(32);
    expect(jobIdOf({ key }, ['proof', 'press'])).toBe(jobIdOf({ key }, ['press', 'proof']));
    expect(jobIdOf({ key }, ['proof'])).not.toBe(jobIdOf({ key }, ['press']));
    expect(jobIdOf({ key }, ['proof'])).not.toContain(':');
  });
});

describe('pages that a worker has taken', () => {
  const given = new AbortController().signal;
  /** Work that ends when it is told to. */
  const held = (turns: Turns, pixels: number, signal = given) => {
    let end = (): void => undefined;
    const begun = { yes: false };
    const ended = turns.during(pixels, signal, async () => {
      begun.yes = true;
      await new Promise<void>((resolve) => {
        end = resolve;
      });
    });
    return { begun, ended, end: () => end() };
  };
  const settled = () => new Promise((resolve) => setImmediate(resolve));

  test('are worked on as far as the budget goes, and none is overtaken', async () => {
    const turns = new Turns(100);
    const [first, large, small] = [held(turns, 60), held(turns, 70), held(turns, 10)];
    await settled();
    expect([first, large, small].map(({ begun }) => begun.yes)).toEqual([true, false, false]);
    expect(turns.isFull).toBe(true);
    first.end();
    await first.ended;
    await settled();
    expect([large, small].map(({ begun }) => begun.yes)).toEqual([true, true]);
    expect(turns.pixels).toBe(80);
    large.end();
    small.end();
    await Promise.all([large.ended, small.ended]);
    expect(turns.pixels).toBe(0);
  });

  test('are worked on alone when they are larger than all of it, and may be given up while they wait', async () => {
    const turns = new Turns(100);
    const giving = new AbortController();
    const [huge, waiting, next] = [held(turns, 500), held(turns, 50, giving.signal), held(turns, 40)];
    await settled();
    expect(huge.begun.yes).toBe(true);
    giving.abort('outdated');
    await expect(waiting.ended).rejects.toBe('outdated');
    expect(next.begun.yes).toBe(false);
    huge.end();
    await huge.ended;
    await settled();
    expect([waiting, next].map(({ begun }) => begun.yes)).toEqual([false, true]);
    next.end();
    await next.ended;
  });
});

describe('what a worker says of a page that came to nothing', () => {
  test('arrives as the refusal that it was', () => {
    const refusal = new PlatehandError('profile-invalid', 'It is none', 'Take another.', {
      place: { page: '7' },
    });
    const outcome = failureTold(failureText('studio3-1', refusal));
    expect(outcome).toMatchObject({
      kind: 'refused',
      refusal: { code: 'profile-invalid', what: 'It is none' },
    });
    expect(outcome.kind === 'refused' && outcome.refusal.message).toBe(refusal.message);
  });

  test('arrives as a fault with its trace, or as nothing that anybody wants', () => {
    expect(failureTold(failureText('w', new TypeError('x is not a function')))).toMatchObject({
      kind: 'fault',
      message: 'x is not a function',
      trace: expect.stringContaining('TypeError'),
    });
    expect(failureTold(droppedText('w'))).toMatchObject({ kind: 'dropped' });
  });

  test.each(['', 'job stalled more than allowable limit', '{"kind":"refused"}', '[]', 'null'])(
    'is believed only in its own form: %j',
    (reason) => {
      expect(failureTold(reason)).toMatchObject({ kind: 'refused', refusal: { code: 'page-process' } });
    },
  );

  test('counts as trouble that may pass where it is about disk, store or queue', () => {
    const full = Object.assign(new Error('no space left on device'), { code: 'ENOSPC' });
    expect([full, new PlatehandError('store-unreachable', '', '')].map(mayPass)).toEqual([true, true]);
    expect([new Error('x'), new PlatehandError('profile-invalid', '', '')].map(mayPass)).toEqual([
      false,
      false,
    ]);
  });
});
