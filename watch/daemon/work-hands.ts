import { createHash } from 'node:crypto';
import { hostname } from 'node:os';
import { PlatehandError } from '../../config/errors.js';
import { type PackBag, packHere } from '../../pipeline/bag/bundle.js';
import { Presence, readPresent } from '../../pipeline/queue/presence.js';
import { openQueueLink, type QueueLink } from '../../pipeline/queue/queue-link.js';
import {
  enginesKey,
  ownEngine,
  processName,
  type QueueTimes,
  usualTimes,
} from '../../pipeline/queue/queue-names.js';
import { openQueueRunner, type QueueRunner } from '../../pipeline/queue/queue-runner.js';
import type { WatcherNews, WorkerNews } from '../../pipeline/queue/queue-view.js';
import { checkServer } from '../../pipeline/queue/server-check.js';
import { defaultJobs } from '../../pipeline/runner/page-cost.js';
import { openPagePool } from '../../pipeline/runner/page-pool.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import { Scheduler } from '../../pipeline/runner/scheduler.js';
import { openSharedStore } from '../../pipeline/store/open-shared-store.js';
import { drawSheetApart } from './sheet-drawing.js';
import type { QueueChoice, WatchContext, WatchOptions } from './watch-options.js';

/** Who does the pages of a daemon. */
export interface WorkHands {
  readonly runner: PageRunner;
  readonly scheduler: Scheduler;
  /** Whether pages are begun while their files settle. */
  readonly worksAhead: boolean;
  /** Room that ending has for pages in hand, in milliseconds. */
  readonly closingMs: number;
  /** Draws contact sheets and colour scripts. */
  readonly drawSheet: WatchContext['drawSheet'];
  /** How long after the last page sheets are drawn, in milliseconds; default as on one machine. */
  readonly sheetDelayMs?: number;
  /** Makes ready for the first page. */
  warm(): void;
  /** What is given up from now on is not taken back from those who work on it elsewhere. */
  leaveWork(): void;
  close(): Promise<void>;
}

/** Whoever takes work from a queue. */
export interface QueueHands extends WorkHands {
  /** Who packs bundles of an issue: they too, or this machine where a bag is more than the queue takes. @param issue its code */
  packBag(issue: string): PackBag;
}

/** Within the five seconds that are promised, for what comes after the pages in hand. */
const closingMs = 3_000;

/** A sheet takes a worker from pages for a second or two: pages that come some seconds apart are one drawing. Own choice. */
const queuedSheetDelayMs = 5_000;

/** Processes of this machine. */
export function ownHands(options: Pick<WatchOptions, 'jobs' | 'pixelBudget'>): WorkHands {
  const jobs = options.jobs ?? defaultJobs();
  const runner = openPagePool(jobs);
  return {
    runner,
    scheduler: new Scheduler({ jobs, pixelBudget: options.pixelBudget }),
    worksAhead: true,
    drawSheet: drawSheetApart,
    closingMs,
    warm: () => runner.warm(1),
    leaveWork: () => undefined,
    close: () => runner.close(),
  };
}

/**
 * Whoever takes pages from a queue. All pages go there at once, and the queue says whose turn it is.
 * @param folders job folders under watch, by which the queue knows this daemon after a restart
 * @param tell is told of trouble with the queue, and what is worth a look about it
 * @throws PlatehandError `queue-unreachable`, `queue-refused`, `package-missing`, `store-unreachable`, `wrong-use`
 */
export async function queueHands(
  choice: QueueChoice,
  folders: readonly string[],
  tell: (message: string) => void,
  times: Partial<QueueTimes> = {},
): Promise<QueueHands> {
  const { address, store: storeAddress, cacheFolder } = choice;
  const link = await openQueueLink(address, (why) =>
    tell(why === undefined ? 'the queue is back' : `the queue is away, pages wait: ${why}`),
  );
  const closings: (() => Promise<void>)[] = [() => link.close()];
  const close = async () => {
    for (const one of closings.splice(0).reverse()) await one().catch(() => undefined);
  };
  try {
    for (const warning of await checkServer(link)) tell(warning);
    const store = await openSharedStore(storeAddress, { cacheFolder, told: ({ message }) => tell(message) });
    closings.push(() => store.close());
    const asker = createHash('sha256')
      .update(JSON.stringify([hostname(), ...folders]))
      .digest('hex');
    const runner = openQueueRunner({ link, store, asker, times });
    closings.push(() => runner.close());
    const presence = new Presence(link.redis, 'watchers', processName, { ...usualTimes, ...times }, () =>
      watcherNews(runner.waitsFor),
    );
    closings.push(() => presence.close());
    await link.redis.sadd(enginesKey, ownEngine);
    presence.start();
    for (const warning of await withoutWorkers(link)) tell(warning);
    const scheduler = new Scheduler({
      jobs: Number.POSITIVE_INFINITY,
      pixelBudget: Number.POSITIVE_INFINITY,
    });
    const leaveWork = () => runner.leaveWork();
    const nothing = { worksAhead: false, closingMs: 0, warm: () => undefined };
    const sheets = { drawSheet: drawnBy(runner), sheetDelayMs: queuedSheetDelayMs };
    return { runner, scheduler, ...sheets, ...nothing, leaveWork, packBag: packedBy(runner), close };
  } catch (thrown) {
    await close();
    throw thrown;
  }
}

/** Sheets are drawn by whoever takes them from the queue; one that is more than it takes, as of thousands of pages, by this machine. */
function drawnBy({ drawSheet }: QueueRunner): WorkHands['drawSheet'] {
  return (sheet, signal) =>
    orHere(
      () => drawSheet(sheet, signal),
      () => drawSheetApart(sheet, signal),
    );
}

/** The same for bundles. */
function packedBy(runner: QueueRunner): QueueHands['packBag'] {
  return (issue) => (bag, partPath, target) =>
    orHere(
      () => runner.packBag(issue, bag, partPath),
      () => packHere(bag, partPath, target),
    );
}

/** What a queue does not take is done here. */
async function orHere<T>(byQueue: () => Promise<T>, here: () => Promise<T>): Promise<T> {
  try {
    return await byQueue();
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError) || thrown.code !== 'queue-refused') throw thrown;
    return here();
  }
}

const startedAt = new Date().toISOString();

function watcherNews(waitsFor: number): WatcherNews {
  const { pid } = process;
  return { id: processName, host: hostname(), pid, engine: ownEngine, since: startedAt, waitsFor };
}

/** What there is to say where nobody would take a page. */
async function withoutWorkers({ redis }: QueueLink): Promise<readonly string[]> {
  const workers = (await readPresent(redis, 'workers')) as Partial<WorkerNews>[];
  if (workers.some(({ engine }) => engine === ownEngine)) return [];
  const others = [...new Set(workers.map(({ engine }) => engine))];
  if (others.length === 0) return ['no worker is there yet: pages wait for one (platehand work)'];
  return [
    `the workers are platehand ${others.join(', ')}, and this is ${ownEngine}: pages wait for one of this version`,
  ];
}
