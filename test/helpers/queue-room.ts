import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { queueAddress } from '../../pipeline/queue/queue-address.js';
import { openQueueLink, type QueueLink } from '../../pipeline/queue/queue-link.js';
import type { QueueTimes } from '../../pipeline/queue/queue-names.js';
import { openQueueRunner, type QueueRunner } from '../../pipeline/queue/queue-runner.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import { openSharedStore } from '../../pipeline/store/open-shared-store.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';
import {
  openQueueWorker,
  type QueueWorker,
  type QueueWorkerOptions,
} from '../../watch/worker/queue-worker.js';
import type { WorkEvent } from '../../watch/worker/work-event.js';

/** Times that make what takes half a minute in earnest take a second or two. */
const quickTimes: QueueTimes = {
  lockMs: 1_500,
  stalledMs: 500,
  askMs: 500,
  newsMs: 300,
  retryMs: 100,
  retryMostMs: 500,
};

/** Machines that share a queue and a store, all in this process; each has connections and a cache of its own. */
export interface QueueRoom {
  /** Where the store is, as a machine is told. */
  readonly store: string;
  /** A watcher's runner. @param asker by which the queue knows it */
  watcher(asker?: string, engine?: string): Promise<QueueRunner>;
  /** A worker, with what it tells. */
  worker(
    runner: PageRunner,
    options?: Partial<QueueWorkerOptions>,
  ): Promise<QueueWorker & { readonly events: WorkEvent[] }>;
  /** A connection of its own, for looking. */
  link(): Promise<QueueLink>;
  /** A view of the store with a cache of its own. */
  openStore(): Promise<SharedStore>;
  /** Ends everybody and removes the store. */
  close(): Promise<void>;
}

/** Opens a room around a queue. */
export async function openQueueRoom(url: string): Promise<QueueRoom> {
  const folder = await mkdtemp(join(tmpdir(), 'queue-room-'));
  const store = join(folder, 'store');
  const closings: (() => Promise<void>)[] = [];
  let caches = 0;
  const link = async () => {
    const opened = await openQueueLink(await queueAddress(url, {}));
    closings.push(() => opened.close());
    return opened;
  };
  const openStore = async () => {
    const opened = await openSharedStore(store, { cacheFolder: join(folder, `cache-${++caches}`) });
    closings.push(() => opened.close());
    return opened;
  };
  return {
    store,
    link,
    openStore,
    watcher: async (asker = 'a watcher', engine) => {
      const runner = openQueueRunner({
        link: await link(),
        store: await openStore(),
        asker,
        times: quickTimes,
        ...(engine === undefined ? {} : { engine }),
      });
      closings.push(() => runner.close());
      return runner;
    },
    worker: async (runner, options) => {
      const events: WorkEvent[] = [];
      const worker = await openQueueWorker({
        link: await link(),
        store: await openStore(),
        runner,
        jobs: 2,
        pixelBudget: 1e12,
        times: quickTimes,
        onEvent: (event) => events.push(event),
        ...options,
      });
      closings.push(() => worker.close(0));
      return Object.assign(worker, { events });
    },
    close: async () => {
      for (const one of closings.splice(0).reverse()) await one();
      await rm(folder, { recursive: true, force: true });
    },
  };
}
