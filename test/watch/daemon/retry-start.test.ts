import { expect, test } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { startWithRetry, type Watched } from '../../../watch/daemon/retry-start.js';
import { until } from '../../helpers/daemon.js';

const readOnly = () => new PlatehandError('write-failed', 'the disk is read-only', 'Make it writable.');
const broken = () => new PlatehandError('job-invalid', 'job.yaml cannot be followed', 'Correct it.');
const atOnce = AbortSignal.abort();

/** A folder that is refused for one reason after the other, and then watched. */
function folder(refusals: readonly (() => Error)[]) {
  const tries: (string | undefined)[] = [];
  const told: string[] = [];
  let closed = 0;
  const watched: Watched = {
    close: async () => {
      closed++;
    },
  };
  const begin = async (waitedFor?: string) => {
    tries.push(waitedFor);
    const refusal = refusals[tries.length - 1];
    if (refusal !== undefined) throw refusal();
    return watched;
  };
  const start = () => startWithRetry(begin, (message) => told.push(message), 1);
  return { start, tries, told, watched, closed: () => closed };
}

test('a folder that may be taken is watched at once', async () => {
  const { start, tries, told, watched } = folder([]);
  expect(await start()).toBe(watched);
  expect([tries, told]).toEqual([[undefined], []]);
});

test('trouble with the disk is told once, however often it is tried, and the start is told what it waited for', async () => {
  const { start, tries, told, closed } = folder([readOnly, readOnly, readOnly, readOnly, readOnly]);
  const waiting = await start();
  await until(() => tries.length === 6, 'six tries');
  expect(told).toEqual([expect.stringMatching(/the disk is read-only.*tried again/s)]);
  expect(tries).toEqual([undefined, ...Array(5).fill('the disk is read-only')]);
  await waiting.close(atOnce);
  expect(closed()).toBe(1);
});

test('other trouble that comes while it waits is told, and waited out too', async () => {
  const { start, tries, told } = folder([readOnly, broken, readOnly]);
  await start();
  await until(() => tries.length === 4, 'four tries');
  expect(told.map((message) => message.slice(0, 14))).toEqual([
    'the disk is re',
    'job.yaml canno',
    'the disk is re',
  ]);
});

test('wrong use is not waited for', async () => {
  const { start, tries } = folder([broken, broken]);
  await expect(start()).rejects.toThrow('job.yaml cannot be followed');
  expect(tries).toHaveLength(1);
});

test('one that still waits can be ended, and is not tried any more', async () => {
  const always = Array(100).fill(readOnly);
  const { start, tries, closed } = folder(always);
  const waiting = await start();
  await until(() => tries.length >= 3, 'three tries');
  await waiting.close(atOnce);
  const before = tries.length;
  await new Promise((resolve) => setImmediate(resolve));
  expect([tries.length, closed()]).toEqual([before, 0]);
});
