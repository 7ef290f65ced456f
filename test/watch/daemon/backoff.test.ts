import { expect, test } from 'vitest';
import { Patience } from '../../../watch/daemon/backoff.js';

test('trouble is told once, and the pauses grow to a minute', () => {
  const patience = new Patience(1000);
  const answers = Array.from({ length: 8 }, () => patience.failed('the disk is full'));
  expect(answers.map(({ isNew }) => isNew)).toEqual([true, ...Array(7).fill(false)]);
  expect(answers.map(({ pauseMs }) => pauseMs / 1000)).toEqual([1, 2, 4, 8, 16, 32, 60, 60]);
});

test('other trouble is told, and so is the end of it, once', () => {
  const patience = new Patience(1000);
  patience.failed('the disk is full');
  expect(patience.failed('the disk is read-only').isNew).toBe(true);
  expect(patience.succeeded()).toBe('the disk is read-only');
  expect(patience.succeeded()).toBeUndefined();
  expect(patience.failed('the disk is full')).toEqual({ isNew: true, pauseMs: 1000 });
});
