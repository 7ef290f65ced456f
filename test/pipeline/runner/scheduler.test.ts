import { describe, expect, test } from 'vitest';
import { type ScheduledWork, Scheduler, watchedRank } from '../../../pipeline/runner/scheduler.js';

/** Ends the turn, so that what follows from it has happened. */
const turn = () => new Promise((resolve) => setImmediate(resolve));

/** A scheduler whose work each waits until the test lets it end. */
function open(jobs: number, pixelBudget: number) {
  const scheduler = new Scheduler({ jobs, pixelBudget });
  const begun: string[] = [];
  const ends = new Map<string, () => void>();
  const add = (name: string, work: Partial<ScheduledWork> = {}) =>
    scheduler.add({ rank: [], pixels: 1, ...work }, () => {
      begun.push(name);
      return new Promise((resolve) => ends.set(name, resolve));
    });
  const end = async (name: string) => {
    ends.get(name)?.();
    await turn();
  };
  return { scheduler, begun, add, end };
}

describe('the order of the work', () => {
  test('of a run is the order in which it came', async () => {
    const { begun, add, end } = open(1, 100);
    const pixels = [5, 9, 2, 7];
    for (const size of pixels) void add(`${size}`, { pixels: size });
    for (const size of pixels) await end(`${size}`);
    expect(begun).toEqual(['5', '9', '2', '7']);
  });

  test('under watch is proofs before press files, then due soonest, then smallest, then as they came', async () => {
    const { begun, add, end } = open(1, 100);
    const watched = (name: string, products: 'proof' | 'press', dueMs: number, pixels: number) =>
      void add(name, { rank: watchedRank({ products, dueMs, pixels }), pixels });
    const never = Number.POSITIVE_INFINITY;
    watched('first', 'press', 0, 1);
    watched('press, due late', 'press', 9, 1);
    watched('press, no due time, large', 'press', never, 2);
    watched('press, no due time, small', 'press', never, 1);
    watched('press, large', 'press', 0, 5);
    watched('press, small', 'press', 0, 2);
    watched('press, small too', 'press', 0, 2);
    watched('proof, due late', 'proof', 9, 1);
    watched('proof, due soon', 'proof', 8, 50);
    for (let i = 0; i < 9; i++) await end(begun[i]);
    expect(begun).toEqual([
      'first',
      'proof, due soon',
      'proof, due late',
      'press, small',
      'press, small too',
      'press, large',
      'press, due late',
      'press, no due time, small',
      'press, no due time, large',
    ]);
  });
});

describe('the number of jobs', () => {
  test('is never exceeded, also when work ends that others waited for', async () => {
    const { begun, add, end } = open(2, 100);
    for (const name of ['a', 'b', 'c', 'd']) void add(name);
    expect(begun).toEqual(['a', 'b']);
    await end('b');
    expect(begun).toEqual(['a', 'b', 'c']);
  });

  test('is filled once a large page makes room for several', async () => {
    const { begun, add, end } = open(3, 10);
    void add('large', { pixels: 10 });
    for (const name of ['b', 'c', 'd', 'e']) void add(name, { pixels: 3 });
    expect(begun).toEqual(['large']);
    await end('large');
    expect(begun).toEqual(['large', 'b', 'c', 'd']);
  });
});

describe('the pixel budget', () => {
  test('holds back what does not fit, and nothing overtakes it', async () => {
    const { begun, add, end } = open(4, 10);
    void add('a', { pixels: 6 });
    void add('b', { pixels: 7 });
    void add('c', { pixels: 1 });
    expect(begun).toEqual(['a']);
    await end('a');
    expect(begun).toEqual(['a', 'b', 'c']);
  });

  test('lets a page through alone that is larger than all of it', async () => {
    const { begun, add, end } = open(4, 10);
    void add('a');
    void add('giant', { pixels: 40 });
    void add('c');
    expect(begun).toEqual(['a']);
    await end('a');
    expect(begun).toEqual(['a', 'giant']);
    await end('giant');
    expect(begun).toEqual(['a', 'giant', 'c']);
  });
});

describe('work whose signal aborts', () => {
  test('while it waits is dropped at once, and never begins', async () => {
    const { begun, add, end } = open(1, 10);
    void add('a');
    const controller = new AbortController();
    const dropped = add('b', { signal: controller.signal });
    void add('c');
    controller.abort();
    await dropped;
    await end('a');
    expect(begun).toEqual(['a', 'c']);
  });

  test('before it is added never begins', async () => {
    const { begun, add } = open(1, 10);
    await add('a', { signal: AbortSignal.abort() });
    expect(begun).toEqual([]);
  });

  test('never begins when it shares the signal with the one that held it back', async () => {
    const { begun, add, end } = open(4, 10);
    void add('a', { pixels: 6 });
    const { signal, abort } = controllerOf();
    const dropped = [add('large', { pixels: 7, signal }), add('small', { signal })];
    void add('other');
    abort();
    await Promise.all(dropped);
    await turn();
    expect(begun).toEqual(['a', 'other']);
    await end('a');
  });

  test('may be as many as an issue has pages, without a warning', async () => {
    const warnings: string[] = [];
    const onWarning = ({ name }: Error) => warnings.push(name);
    process.on('warning', onWarning);
    const { begun, add } = open(1, 10);
    const { signal, abort } = controllerOf();
    void add('a');
    const dropped = Array.from({ length: 40 }, (_, i) => add(`${i}`, { signal }));
    abort();
    await Promise.all(dropped);
    await turn();
    process.off('warning', onWarning);
    expect([begun, warnings]).toEqual([['a'], []]);
  });

  test('keeps its slot once begun, until it has ended', async () => {
    const { begun, add, end } = open(1, 10);
    const { signal, abort } = controllerOf();
    const first = add('a', { signal });
    void add('b');
    abort();
    await turn();
    expect(begun).toEqual(['a']);
    await end('a');
    await first;
    expect(begun).toEqual(['a', 'b']);
  });

  test('frees what held others back', async () => {
    const { begun, add } = open(4, 10);
    void add('a', { pixels: 6 });
    const { signal, abort } = controllerOf();
    const dropped = add('large', { pixels: 7, signal });
    for (const name of ['b', 'c']) void add(name);
    abort();
    await dropped;
    expect(begun).toEqual(['a', 'b', 'c']);
  });
});

function controllerOf() {
  const controller = new AbortController();
  return { signal: controller.signal, abort: () => controller.abort() };
}

describe('work that waits', () => {
  test('of a paused issue lets others pass, and begins once it is resumed', async () => {
    const { scheduler, begun, add, end } = open(1, 10);
    let paused = true;
    void add('a', { isPaused: () => paused, rank: [0] });
    void add('b', { rank: [1] });
    expect(begun).toEqual(['b']);
    await end('b');
    expect(begun).toEqual(['b']);
    paused = false;
    scheduler.refresh();
    expect(begun).toEqual(['b', 'a']);
  });

  test('does not begin any more once the scheduler is paused, whoever asks it to look again', async () => {
    const { scheduler, begun, add, end } = open(1, 10);
    void add('a');
    void add('b');
    scheduler.pause();
    scheduler.refresh();
    await end('a');
    expect(begun).toEqual(['a']);
  });

  test('goes on after work that failed, with all of the budget', async () => {
    const scheduler = new Scheduler({ jobs: 2, pixelBudget: 10 });
    const torn = () => Promise.reject(new Error('torn'));
    await expect(scheduler.add({ rank: [], pixels: 9 }, torn)).rejects.toThrow('torn');
    const begun: string[] = [];
    const work = (name: string) => scheduler.add({ rank: [], pixels: 5 }, async () => void begun.push(name));
    await Promise.all([work('b'), work('c')]);
    expect(begun).toEqual(['b', 'c']);
  });
});
