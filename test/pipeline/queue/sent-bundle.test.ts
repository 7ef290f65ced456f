import { describe, expect, test } from 'vitest';
import { checkedJob, wordsOf } from '../../../pipeline/queue/checked-job.js';
import { bundleJobId, checkedBundle, type SentBundle } from '../../../pipeline/queue/sent-bundle.js';

const entry = { path: 'QRY02-1/data/press/QRY02_7.tif', bytes: 12, sha256: 'a'.repeat(64) };
const bundle: SentBundle = { issue: 'QRY02', name: 'QRY02-1', day: '2026-11-29', entries: [entry] };

describe('a bundle from the queue', () => {
  test('is taken as it was put there', () => {
    expect(checkedBundle(JSON.parse(JSON.stringify(bundle)))).toEqual(bundle);
    const job = { engine: '1', bundle };
    expect(checkedJob(job, '1')).toMatchObject({ kind: 'bundle', bundle, words: { page: 'the bundle' } });
    expect(wordsOf(job)).toEqual({ issue: 'QRY02', page: 'the bundle', products: [] });
  });

  const wrong: Readonly<Record<string, unknown>> = {
    'a path that leaves the bag': { entries: [{ ...entry, path: 'QRY02-1/../../etc/passwd' }] },
    'an absolute path': { entries: [{ ...entry, path: '/etc/passwd' }] },
    'a file beside the bag': { entries: [{ ...entry, path: 'QRY02-2/data/p.tif' }] },
    'a control character in a path': { entries: [{ ...entry, path: 'QRY02-1/data/p\u001b[2J.tif' }] },
    'a name with a slash': { name: 'QRY02/1', entries: [{ ...entry, path: 'QRY02/1/p.tif' }] },
    'a name that Windows reserves': { name: 'CON', entries: [{ ...entry, path: 'CON/p.tif' }] },
    'a day that is none': { day: '2026-02-30' },
    'no files': { entries: [] },
    'too many files': { entries: new Array(10_001).fill(entry) },
    'a checksum that is none': { entries: [{ ...entry, sha256: 'A'.repeat(64) }] },
    'a size below nothing': { entries: [{ ...entry, bytes: -1 }] },
    'a size beyond all files': { entries: [{ ...entry, bytes: 2 ** 50 }] },
    'a field that is not known': { command: 'rm' },
    'a path of this machine in an entry': { entries: [{ ...entry, file: '/etc/passwd' }] },
  };
  test.each(Object.entries(wrong))('is refused for %s', (_, change) => {
    const changed: unknown = { ...bundle, ...(change as object) };
    expect(() => checkedBundle(changed)).toThrow(
      expect.objectContaining({
        code: 'queue-refused',
        message: expect.stringMatching(/bundle on the queue/i),
      }),
    );
  });

  test('is one with whatever packs the same, and another for another day', () => {
    expect(bundleJobId({ ...bundle })).toBe(bundleJobId(bundle));
    expect(bundleJobId({ ...bundle, day: '2026-11-30' })).not.toBe(bundleJobId(bundle));
  });
});
