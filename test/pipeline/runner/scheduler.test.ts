import { describe, expect, test } from 'vitest';
import { type QueuedWork, WorkQueue } from '../../../pipeline/runner/scheduler.js';

const work = (id: string, facts: Partial<QueuedWork> = {}): QueuedWork => ({
  id,
  phase: 'press',
  dueMs: 0,
  pixels: 1,
  isPaused: () => false,
  ...facts,
});

/** A queue in which each piece of work waits until the test lets it end. */
function open(jobs: number, budget: number) {
  const queue = new WorkQueue(jobs, budget);
  const begun: string[] = [];
  const ends = new Map<string, () => void>();
  const add = (one: QueuedWork, signal = new AbortController().signal) =>
    queue.add(one, signal, () => {
      begun.push(one.id);
      return new Promise((resolve) => ends.set(one.id, resolve));
    });
  const end = async (id: string) => {
    ends.get(id)?.();
    await new Promise((resolve) => setImmediate(resolve));
  };
  return { queue, begun, add, end };
}

describe('the order of the work', () => {
  test('proofs before press files, then due soonest, then smallest, then as they came', async () => {
    const { begun, add, end } = open(1, 100);
    void add(work('first'));
    void add(work('press, due late', { dueMs: 9 }));
    void add(work('press, no due time', { dueMs: Number.POSITIVE_INFINITY }));
    void add(work('press, large', { pixels: 5 }));
    void add(work('press, small', { pixels: 2 }));
    void add(work('press, small too', { pixels: 2 }));
    void add(work('proof, due late', { phase: 'proof', dueMs: 9 }));
    void add(work('proof, due soon', { phase: 'proof', dueMs: 8, pixels: 50 }));
    for (let i = 0; i < 8; i++) await end(begun[i]);
    expect(begun).toEqual([
      'first',
      'proof, due soon',
      'proof, due late',
      'press, small',
      'press, small too',
      'press, large',
      'press, due late',
      'press, no due time',
    ]);
  });
});

describe('the pixel budget', () => {
  test('holds back what does not fit, and nothing overtakes it', async () => {
    const { begun, add, end } = open(4, 10);
    void add(work('a', { pixels: 6 }));
    void add(work('b', { pixels: 7, dueMs: 1 }));
    void add(work('c', { pixels: 1, dueMs: 2 }));
    expect(begun).toEqual(['a']);
    await end('a');
    expect(begun).toEqual(['a', 'b', 'c']);
  });

  test('lets a page through alone that is larger than all of it', async () => {
    const { begun, add, end } = open(4, 10);
    void add(work('a'));
    void add(work('giant', { pixels: 40, dueMs: 1 }));
    await end('a');
    expect(begun).toEqual(['a', 'giant']);
  });
});

describe('work that waits', () => {
  test('is dropped when it is outdated, and never begins', async () => {
    const { begun, add, end } = open(1, 10);
    void add(work('a'));
    const controller = new AbortController();
    const dropped = add(work('b'), controller.signal);
    void add(work('c'));
    controller.abort();
    await dropped;
    await end('a');
    expect(begun).toEqual(['a', 'c']);
  });

  test('of a paused issue lets others pass, and begins once it is resumed', async () => {
    const { queue, begun, add, end } = open(1, 10);
    let paused = true;
    void add(work('a', { isPaused: () => paused, phase: 'proof' }));
    void add(work('b'));
    expect(begun).toEqual(['b']);
    await end('b');
    expect(begun).toEqual(['b']);
    paused = false;
    queue.refresh();
    expect(begun).toEqual(['b', 'a']);
  });

  test('goes on after work that failed', async () => {
    const queue = new WorkQueue(1, 10);
    const signal = new AbortController().signal;
    await expect(queue.add(work('a'), signal, () => Promise.reject(new Error('torn')))).rejects.toThrow(
      'torn',
    );
    let done = false;
    await queue.add(work('b', { pixels: 10 }), signal, async () => {
      done = true;
    });
    expect(done).toBe(true);
  });
});
