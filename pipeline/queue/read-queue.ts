import type { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { messageOf } from '../../config/errors.js';
import { wordsOf } from './checked-job.js';
import { readCounts } from './counts.js';
import { readFailure, type ToldFailure, workersGone } from './job-outcome.js';
import { readPresent } from './presence.js';
import type { QueueLink } from './queue-link.js';
import { enginesKey, ownEngine } from './queue-names.js';
import type { EngineQueue, FailedPage, QueueView, WatcherNews, WorkerNews } from './queue-view.js';
import { checkServer } from './server-check.js';

/** Failures that are told of, the newest first. */
const mostFailures = 100;

/** Waiting pages whose times are asked for in one go. */
const askedAtOnce = 1_000;

/** Looks at a queue: what waits, who works, what came to nothing. */
export async function readQueue(link: QueueLink): Promise<QueueView> {
  const { redis, address } = link;
  const engines = await knownEngines(link);
  const queues = engines.map((engine) => ({ engine, queue: link.openQueue(engine) }));
  try {
    const told = await Promise.all(queues.map(({ engine, queue }) => engineQueue(link, engine, queue)));
    const failures = (await Promise.all(queues.map(({ queue }) => failedPages(queue)))).flat();
    const workers = (await readPresent(redis, 'workers')) as WorkerNews[];
    const paused = await Promise.all(queues.map(({ queue }) => queue.isPaused()));
    return {
      at: new Date().toISOString(),
      queue: address.shown,
      paused: paused.length > 0 && paused.every((one) => one),
      engines: told,
      workers: workers.sort((one, other) => one.id.localeCompare(other.id)),
      watchers: (await readPresent(redis, 'watchers')) as WatcherNews[],
      failures: failures.sort((one, other) => other.at.localeCompare(one.at)).slice(0, mostFailures),
      warnings: [...(await serverWarnings(link)), ...nobodyFor(told, workers)],
    };
  } finally {
    await Promise.all(queues.map(({ queue }) => queue.close()));
  }
}

/**
 * Lets workers begin no more pages, or begin again; pages in hand are finished.
 * @returns versions of the engine whose pages that holds for
 */
export async function pauseQueue(link: QueueLink, isPaused: boolean): Promise<readonly string[]> {
  const engines = await knownEngines(link);
  for (const engine of engines) {
    const queue = link.openQueue(engine);
    await (isPaused ? queue.pause() : queue.resume());
    await queue.close();
  }
  return engines;
}

async function knownEngines({ redis }: QueueLink): Promise<string[]> {
  return [...new Set([...(await redis.smembers(enginesKey)), ownEngine])].sort();
}

async function engineQueue({ redis }: QueueLink, engine: string, queue: Queue): Promise<EngineQueue> {
  const counts = await queue.getJobCounts('waiting', 'prioritized', 'delayed', 'active');
  const { waiting = 0, prioritized = 0, delayed = 0, active = 0 } = counts;
  return {
    engine,
    waiting: waiting + prioritized + delayed,
    inHand: active,
    ...(await readCounts(redis, engine)),
    oldestWaitingSeconds: await oldestWaiting(redis, queue),
  };
}

/** Seconds since the oldest waiting page was asked for, by the clock of who asked. */
async function oldestWaiting(redis: Redis, queue: Queue): Promise<number | undefined> {
  let oldest = Number.POSITIVE_INFINITY;
  for (let from = 0; ; from += askedAtOnce) {
    const ids = await queue.getRanges(['prioritized', 'delayed'], from, from + askedAtOnce - 1);
    if (ids.length === 0) break;
    const asking = redis.pipeline();
    for (const id of ids) asking.hget(queue.toKey(id), 'timestamp');
    for (const [, stamp] of (await asking.exec()) ?? []) if (stamp) oldest = Math.min(oldest, Number(stamp));
  }
  return Number.isFinite(oldest) ? Math.max(0, Math.round((Date.now() - oldest) / 1000)) : undefined;
}

async function failedPages(queue: Queue): Promise<FailedPage[]> {
  const jobs = await queue.getFailed(0, mostFailures - 1);
  return jobs.flatMap((job): FailedPage[] => {
    const told = readFailure(job.failedReason ?? '');
    if (told?.kind === 'dropped') return [];
    const at = new Date(job.finishedOn ?? job.timestamp).toISOString();
    return [{ ...wordsOf(job.data), at, ...whyOf(told, job.failedReason ?? ''), worker: told?.worker }];
  });
}

function whyOf(told: Exclude<ToldFailure, { kind: 'dropped' }> | undefined, reason: string) {
  if (told?.kind === 'refused') return { what: told.what, remedy: told.remedy };
  if (told?.kind === 'fault')
    return { what: told.message, remedy: 'This is a fault of platehand; report it with this message.' };
  const { what, remedy } = workersGone(reason);
  return { what, remedy };
}

/** A server that would be refused shows so here. */
async function serverWarnings(link: QueueLink): Promise<readonly string[]> {
  try {
    return await checkServer(link);
  } catch (thrown) {
    return [messageOf(thrown)];
  }
}

/** Pages that wait for a version that no worker has. */
function nobodyFor(engines: readonly EngineQueue[], workers: readonly WorkerNews[]): readonly string[] {
  const without = engines.filter(
    ({ engine, waiting }) => waiting > 0 && !workers.some((worker) => worker.engine === engine),
  );
  return without.map(
    ({ engine, waiting }) => `${waiting} pages wait for platehand ${engine}, and no worker has that version`,
  );
}
