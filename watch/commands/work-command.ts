import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import { engineDiffers } from '../../pipeline/queue/checked-job.js';
import { readPresent } from '../../pipeline/queue/presence.js';
import { queueAddress } from '../../pipeline/queue/queue-address.js';
import { openQueueLink, type QueueLink } from '../../pipeline/queue/queue-link.js';
import { enginesKey, ownEngine, processName, type QueueTimes } from '../../pipeline/queue/queue-names.js';
import type { WatcherNews } from '../../pipeline/queue/queue-view.js';
import { checkServer } from '../../pipeline/queue/server-check.js';
import { defaultJobs, defaultPixelBudget } from '../../pipeline/runner/page-cost.js';
import { openPagePool } from '../../pipeline/runner/page-pool.js';
import { openSharedStore } from '../../pipeline/store/open-shared-store.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';
import { openQueueWorker, type QueueWorker } from '../worker/queue-worker.js';
import { clearNowAndThen } from '../worker/store-clearing.js';
import { type WorkEvent, workEventJson, workEventLine } from '../worker/work-event.js';
import { endInTime, endRequest } from './hard-end.js';

/** Which queue, and where its files lie. */
export interface QueueWords {
  /** URL of the queue. */
  readonly queue: string;
  /** Folder, or `s3://bucket/prefix`, that every machine reaches; default what PLATEHAND_STORE says. */
  readonly store?: string;
  /** Folder for what has been fetched from there; default in the user's cache folder. */
  readonly cache?: string;
}

/** What the command line says about working. */
export interface WorkCommandOptions extends QueueWords {
  /** Pages worked on at the same time, 1 or more; default one a core, as memory allows. */
  readonly jobs?: number;
  /** A page is begun anew by another worker when its worker was silent for this long, in seconds; default 30. */
  readonly claim?: number;
  /** The most that the cache may take, in gigabytes; default 20. */
  readonly cacheSize?: number;
  /** Logs one JSON object a line; default text. */
  readonly logJson?: true;
}

/** Tells what is about no page. */
type Say = (kind: WorkEvent['kind'], message: string) => void;

const bytesAGigabyte = 1e9;

/** Takes pages from a queue until the process is asked to end (SIGINT, SIGTERM). */
export async function workUntilAsked(options: WorkCommandOptions): Promise<void> {
  const log = options.logJson ? workEventJson : workEventLine;
  // Whoever read the log is gone; the work goes on.
  process.stdout.on('error', () => undefined);
  const tell = (event: WorkEvent) => process.stdout.write(log(event));
  const asked = endRequest();
  const say = (kind: WorkEvent['kind'], message: string) =>
    tell({ at: new Date().toISOString(), worker: processName, kind, message });
  const link = await openQueueLink(await queueAddress(options.queue, process.env), (why) =>
    why === undefined ? say('back', 'the queue is back') : say('trouble', `the queue is away: ${why}`),
  );
  const worker = await openHere(link, options, tell, say);
  await asked;
  await endInTime(worker);
}

/** Opens all that a worker needs. @throws PlatehandError for whatever of it cannot be used */
async function openHere(
  link: QueueLink,
  options: WorkCommandOptions,
  tell: (event: WorkEvent) => void,
  say: Say,
): Promise<QueueWorker> {
  const closings: (() => Promise<void>)[] = [() => link.close()];
  const close = async () => {
    for (const one of closings.splice(0).reverse()) await one();
  };
  try {
    for (const warning of await checkServer(link)) say('trouble', warning);
    await refuseOtherEngine(link);
    const store = await openStore(options, say);
    closings.push(() => store.close());
    const jobs = options.jobs ?? defaultJobs();
    const runner = openPagePool(jobs);
    closings.push(() => runner.close());
    runner.warm(1);
    await link.redis.sadd(enginesKey, ownEngine);
    const [pixelBudget, times] = [defaultPixelBudget(), timesOf(options.claim)];
    const worker = await openQueueWorker({ link, store, runner, jobs, pixelBudget, onEvent: tell, times });
    const clearing = clearNowAndThen(store, link, (why) => say('trouble', why));
    say('began', `platehand ${ownEngine}, ${jobs} pages at a time, ${link.address.shown}, ${store.address}`);
    closings.push(
      () => worker.close(),
      async () => clearing.end(),
    );
    return { close: () => close().then(() => say('ended', 'takes no more pages')) };
  } catch (thrown) {
    await close();
    throw thrown;
  }
}

/** A store that is not there yet is not made: a share that is not mounted looks like an empty folder. */
async function openStore({ store, cache, cacheSize }: WorkCommandOptions, say: Say): Promise<SharedStore> {
  return openSharedStore(storeOf(store), {
    cacheFolder: cacheFolderOf(cache),
    ...(cacheSize === undefined ? {} : { cacheBytes: cacheSize * bytesAGigabyte }),
    mayMake: false,
    told: ({ message }) => say('trouble', message),
  });
}

/**
 * Where the store is: as it is given, or as the machine is set up.
 * @throws PlatehandError `wrong-use` where neither says
 */
export function storeOf(given: string | undefined): string {
  const where = given ?? process.env.PLATEHAND_STORE;
  if (where !== undefined && where !== '') return where;
  throw new PlatehandError(
    'wrong-use',
    'A queue needs a store',
    'Give --store, or PLATEHAND_STORE in the environment, with a folder or s3://bucket that every machine reaches.',
  );
}

/** Looks for pages without a worker come six times within a claim. */
const looksAClaim = 6;

/** Shorter ones would lapse while a machine is merely busy. */
const leastClaimSeconds = 1;

function timesOf(claimSeconds: number | undefined): Partial<QueueTimes> {
  if (claimSeconds === undefined) return {};
  const lockMs = Math.round(Math.max(claimSeconds, leastClaimSeconds) * 1000);
  // The server takes whole milliseconds only.
  return { lockMs, stalledMs: Math.ceil(lockMs / looksAClaim) };
}

/** Where every daemon on the queue is another version, none of its pages could be taken. */
async function refuseOtherEngine({ redis }: QueueLink): Promise<void> {
  const watchers = (await readPresent(redis, 'watchers')) as Partial<WatcherNews>[];
  const engines = [...new Set(watchers.map(({ engine }) => engine ?? '?'))];
  if (engines.length > 0 && !engines.includes(ownEngine)) throw engineDiffers(engines.join(', '), ownEngine);
}

/** The folder for what has been fetched, as people name it or where users' caches are (XDG Base Directory Specification). */
export function cacheFolderOf(given: string | undefined): string {
  if (given !== undefined) return resolve(given);
  const caches = process.env.XDG_CACHE_HOME;
  return join(caches === undefined || caches === '' ? join(homedir(), '.cache') : caches, 'platehand');
}
