import { describe, expect, test } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { Backoff, Retries } from '../../../watch/daemon/retry.js';

/** What is tried again in a folder, and what is told of it. */
function open() {
  const told: string[] = [];
  const retries = new Retries({ tell: (kind, { message }) => told.push(`${kind}: ${message}`) });
  return { retries, told };
}

const full = (file: string) =>
  new PlatehandError('write-failed', 'the disk is full', 'Make room.', { place: { file } });

describe('what is tried again in a folder', () => {
  test('the same full disk is told once, whatever it hinders, and its end when nothing is hindered any more', () => {
    const { retries, told } = open();
    expect(retries.failed('work', full('a'))).toBe(1000);
    expect(retries.failed('look', full('b'))).toBe(1000);
    expect(retries.failed('work', full('c'))).toBe(2000);
    expect(told).toEqual([expect.stringMatching(/^trouble: a: the disk is full/)]);
    expect(retries.waitMs).toBeGreaterThan(1000);
    expect(retries.succeeded('work')).toBe(true);
    expect(told).toHaveLength(1);
    expect(retries.waitMs).toBeLessThanOrEqual(1000);
    expect(retries.succeeded('look')).toBe(true);
    expect(told.slice(1)).toEqual(['trouble-over: it works again (was: the disk is full)']);
    expect(retries.waitMs).toBe(0);
    expect(retries.succeeded('look')).toBe(false);
  });

  test('a look that succeeds does not end the trouble with the lock', () => {
    const { retries, told } = open();
    retries.failed('lock', full('watch.lock'));
    expect(retries.succeeded('look')).toBe(false);
    retries.failed('lock', full('watch.lock'));
    expect(told).toHaveLength(1);
    expect(retries.waitMs).toBeGreaterThan(1000);
  });
});

describe('the pauses between tries', () => {
  test('trouble is told once, and the pauses grow to a minute', () => {
    const backoff = new Backoff(1000);
    const answers = Array.from({ length: 8 }, () => backoff.failed('the disk is full'));
    expect(answers.map(({ isNew }) => isNew)).toEqual([true, ...Array(7).fill(false)]);
    expect(answers.map(({ pauseMs }) => pauseMs / 1000)).toEqual([1, 2, 4, 8, 16, 32, 60, 60]);
  });

  test('other trouble is told, and so is the end of it, once', () => {
    const backoff = new Backoff(1000);
    backoff.failed('the disk is full');
    expect(backoff.failed('the disk is read-only').isNew).toBe(true);
    expect(backoff.succeeded()).toBe('the disk is read-only');
    expect(backoff.succeeded()).toBeUndefined();
    expect(backoff.failed('the disk is full')).toEqual({ isNew: true, pauseMs: 1000 });
  });
});
