import type { QueueView } from '../../pipeline/queue/queue-view.js';

/** Queues as they may be found, for what shows them. */

const at = '2026-11-29T06:50:00.000Z';
const engine = '0.1.0.16';

/** Nobody is there, and nothing waits. */
export const emptyView: QueueView = {
  at,
  queue: 'redis://studio:6379/0',
  paused: false,
  engines: [],
  workers: [],
  watchers: [],
  failures: [],
  warnings: [],
};

/** An evening at work: two versions, two workers, a page that came to nothing. */
export const busyView: QueueView = {
  ...emptyView,
  paused: true,
  engines: [
    { engine, waiting: 3, inHand: 2, made: 410, failed: 2, madeLastHour: 41, oldestWaitingSeconds: 252.5 },
    {
      engine: '0.1.0.15',
      waiting: 1,
      inHand: 0,
      made: 7,
      failed: 0,
      madeLastHour: 0,
      oldestWaitingSeconds: 9000,
    },
  ],
  workers: [
    {
      id: 'studio3-4711',
      host: 'studio3',
      pid: 4711,
      engine,
      since: '2026-11-29T05:00:00.000Z',
      jobs: 4,
      pixelBudget: 400e6,
      pixelsInHand: 120.4e6,
      inHand: [
        { issue: 'QRY02', page: '7', products: ['press', 'pdf'], since: '2026-11-29T06:49:48.000Z' },
        { issue: 'QRY02', page: '12-13', products: ['proof'], since: '2026-11-29T06:47:00.000Z' },
      ],
      made: 31,
      failed: 1,
    },
    {
      id: 'b-9',
      host: 'b',
      pid: 9,
      engine,
      since: '2026-11-29T05:00:00.000Z',
      jobs: 1,
      pixelBudget: 100e6,
      pixelsInHand: 0,
      inHand: [],
      made: 0,
      failed: 0,
      trouble: 'the store is full',
    },
  ],
  watchers: [{ id: 'desk-12', host: 'desk', pid: 12, engine, since: at, waitsFor: 5 }],
  failures: [
    {
      issue: 'QRY02',
      page: '4',
      products: ['press'],
      at: '2026-11-29T03:50:00.000Z',
      what: 'The profile cannot be read',
      remedy: 'Look at the store.',
      worker: undefined,
    },
  ],
  warnings: ['Pages of version 0.1.0.15 wait, and no worker has it.'],
};
