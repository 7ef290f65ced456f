import { expect, test } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { IssueJournal } from '../../../watch/daemon/issue-journal.js';
import { Troubles } from '../../../watch/daemon/retry.js';

/** Troubles of a folder, and what is told of them. The lines for the ledger wait: they are not what is tested. */
function troubles() {
  const told: string[] = [];
  const journal = new IssueJournal(
    '/nowhere/at/all',
    () => 'QRY02',
    ({ kind, message }) => {
      if (!message.startsWith('the ledger')) told.push(`${kind}: ${message}`);
    },
  );
  return { troubles: new Troubles(journal), told, journal };
}

const full = (file: string) =>
  new PlatehandError('write-failed', 'the disk is full', 'Make room.', { place: { file } });

test('the same full disk is told once, whatever it hinders, and its end when nothing is hindered any more', async () => {
  const { troubles: folder, told, journal } = troubles();
  expect(folder.suffer('work', full('a'))).toBe(1000);
  expect(folder.suffer('look', full('b'))).toBe(1000);
  expect(folder.suffer('work', full('c'))).toBe(2000);
  expect(told).toEqual([expect.stringMatching(/^trouble: a: the disk is full/)]);
  expect(folder.waitMs).toBeGreaterThan(1000);
  expect(folder.overcome('work')).toBe(true);
  expect(told).toHaveLength(1);
  expect(folder.waitMs).toBeLessThanOrEqual(1000);
  expect(folder.overcome('look')).toBe(true);
  expect(told.slice(1)).toEqual(['trouble-over: it works again (was: the disk is full)']);
  expect(folder.waitMs).toBe(0);
  expect(folder.overcome('look')).toBe(false);
  await journal.close();
});

test('a look that succeeds does not end the trouble with the lock', async () => {
  const { troubles: folder, told, journal } = troubles();
  folder.suffer('lock', full('watch.lock'));
  expect(folder.overcome('look')).toBe(false);
  folder.suffer('lock', full('watch.lock'));
  expect(told).toHaveLength(1);
  expect(folder.waitMs).toBeGreaterThan(1000);
  await journal.close();
});
