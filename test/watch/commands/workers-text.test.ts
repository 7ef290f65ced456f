import { describe, expect, test } from 'vitest';
import { workersText } from '../../../watch/commands/workers-text.js';
import { localTime } from '../../../watch/daemon/watch-event.js';
import { workEventLine } from '../../../watch/worker/work-event.js';
import { busyView, emptyView } from '../../helpers/queue-views.js';

const plain = (_colour: string, text: string) => text;
const at = localTime(new Date(emptyView.at));

describe('a queue in words', () => {
  test('says what waits, who works on what and for how long, and what came to nothing', () => {
    expect(workersText(busyView, plain)).toBe(`Queue redis://studio:6379/0, ${at}
Waiting: 4 pages, the oldest for 2.5 hours. In hand: 2. Made in the last hour: 41.
Since the queue was made: 417 pages made, 2 came to nothing.
  version 0.1.0.16: 3 waiting, 2 in hand, 410 made
  version 0.1.0.15: 1 waiting, 0 in hand, 7 made
The queue is paused: no page is begun.

2 workers:
  studio3-4711  2 of 4 pages, 120 of 400 megapixels; 31 made, 1 came to nothing; version 0.1.0.16
      QRY02 page 7 (press, pdf) for 12 s
      QRY02 page 12-13 (proof) for 3 min
  b-9           0 of 1 page, 0 of 100 megapixels; 0 made; version 0.1.0.16
      takes nothing: the store is full

1 daemon:
  desk-12  waits for 5 pages; version 0.1.0.16

Came to nothing, the newest first:
  QRY02 page 4 (press), 3.0 hours ago, its worker is gone: The profile cannot be read
      Look at the store.

Look at this: Pages of version 0.1.0.15 wait, and no worker has it.`);
  });

  test('calls pictures of a whole issue by their own names', () => {
    const [worker] = busyView.workers;
    const inHand = [{ ...worker.inHand[0], page: 'contact sheet', products: [] }];
    const text = workersText({ ...busyView, workers: [{ ...worker, inHand }] }, plain);
    expect(text).toContain('      QRY02 contact sheet for 12 s');
    const told = { at: busyView.at, worker: 'b-9', kind: 'made', issue: 'QRY02', seconds: 1.25 } as const;
    const line = (page: string, products: string[]) => workEventLine({ ...told, page, products });
    expect(line('colour script', [])).toMatch(/ made QRY02 colour script in 1\.3 s\n$/);
    expect(line('7', ['proof', 'views'])).toMatch(/ made QRY02 page 7: proof, views in 1\.3 s\n$/);
    expect(line('7', [])).toMatch(/ made QRY02 page 7: looked at in 1\.3 s\n$/);
  });

  test('says that nobody is there', () => {
    expect(workersText(emptyView, plain)).toBe(`Queue redis://studio:6379/0, ${at}
Waiting: 0 pages. In hand: 0. Made in the last hour: 0.
Since the queue was made: 0 pages made, 0 came to nothing.

No worker is there (platehand work).

No daemon puts pages on it (platehand watch).`);
  });

  test('holds nothing that a terminal would obey, whatever others put on the queue', () => {
    const hostile = '\u001b[2J\u009b2J\u202e\r\n';
    const [worker] = busyView.workers;
    const [failure] = busyView.failures;
    const view = {
      ...busyView,
      workers: [{ ...worker, id: hostile, trouble: hostile, engine: hostile }],
      failures: [{ ...failure, what: hostile, page: hostile, at: 'never' }],
      warnings: [hostile],
    };
    const text = workersText(view, plain);
    expect(text.split('\n').filter((row) => /[\p{Cc}\u202e]/u.test(row))).toEqual([]);
    expect(text).toContain('unknown time ago');
  });
});
