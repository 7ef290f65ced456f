import { randomBytes } from 'node:crypto';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { Redis } from 'ioredis';
import { planIssue } from '../../pipeline/issue/plan.js';
import type { PageRequest, UnhashedRequest } from '../../pipeline/model/page-request.js';
import { type PageResult, type ProductName, productNames } from '../../pipeline/model/page-result.js';
import { queueAddress } from '../../pipeline/queue/queue-address.js';
import { openQueueLink } from '../../pipeline/queue/queue-link.js';
import { ownEngine } from '../../pipeline/queue/queue-names.js';
import { openQueueRunner } from '../../pipeline/queue/queue-runner.js';
import { inProcessRunner } from '../../pipeline/runner/in-process.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import { openSharedStore } from '../../pipeline/store/open-shared-store.js';
import { openQueueWorker, type QueueWorker } from '../../watch/worker/queue-worker.js';
import { redisMissing, startRedis } from '../helpers/redis-server.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../helpers/small-issue.js';

/**
 * What becomes the limit when many machines work on one queue:
 *
 *   npm run bench -- --queue
 *
 * - 16 and 64 workers that sleep as long as such a page takes, on one queue and one store: what the watcher, Redis and the store take then;
 * - 100 issues of 24 pages put on a queue at once: time, and memory of the watcher and of Redis.
 */
export async function measureQueue(folder: string): Promise<void> {
  if (redisMissing !== undefined) {
    console.log(`NOT MEASURED: ${redisMissing}`);
    return;
  }
  const issue = await openSmallIssue();
  try {
    await dropAll(issue);
    const [model] = await requestsOf(issue);
    for (const workers of [16, 64]) await sleepers(join(folder, `sleepers-${workers}`), model, workers);
    await manyIssues(join(folder, 'many'), model);
  } finally {
    await issue.remove();
  }
}

/** Seconds that the proof of a page of colour and line takes here, by `npm run bench` (RESULTS.md). */
const pageSeconds = 1.5;

/** Pages of 24 that are put on the queue. */
const [issuesAtOnce, pagesAnIssue] = [100, 24];

const bytesAMegabyte = 1e6;

/** Requests for the proofs of pages that nobody has drawn: each has a key of its own, and the files of the model. */
function manyPages(model: PageRequest, count: number, products: readonly ProductName[]): PageRequest[] {
  return Array.from({ length: count }, (_, at) => ({
    ...model,
    issue: `QRY${Math.floor(at / pagesAnIssue)}`,
    baseName: `QRY${Math.floor(at / pagesAnIssue)}_${at % pagesAnIssue}`,
    key: randomBytes(32).toString('hex'),
    products,
  }));
}

/** Sleeps as long as a page takes, and hands back what a real one once was, under the page's own key. */
function sleepingRunner(
  made: PageResult,
  files: ReadonlyMap<string, Uint8Array>,
  pages: readonly PageRequest[],
): PageRunner {
  const keys = new Map(pages.map(({ baseName, key }) => [baseName, key]));
  return {
    takesUnhashed: true,
    close: async () => undefined,
    async run({ baseName, outFolder = '' }: PageRequest | UnhashedRequest) {
      await pause(pageSeconds * 1000);
      for (const [name, bytes] of files) await writeFile(join(outFolder, name), bytes);
      return { ...made, key: keys.get(baseName) ?? '' };
    },
  };
}

/** Workers that sleep instead of working: what is left of a core's time is the queue's, the store's and the watcher's. */
async function sleepers(folder: string, model: PageRequest, workers: number): Promise<void> {
  const redis = await startRedis();
  const link = await openQueueLink(await queueAddress(redis.url, {}));
  const openStore = (name: string) =>
    openSharedStore(join(folder, 'store'), { cacheFolder: join(folder, name) });
  const proofs: ProductName[] = ['proof'];
  const pages = manyPages(model, workers * pagesASleeper, proofs);
  const { made, files } = await madeOnce(folder, { ...model, products: proofs });
  const runner = sleepingRunner(made, files, pages);
  const store = await openStore('workers');
  const hands: QueueWorker[] = [];
  for (let at = 0; at < workers; at++) {
    hands.push(
      await openQueueWorker({ link, store, runner, jobs: 1, pixelBudget: 1e12, onEvent: () => undefined }),
    );
  }
  const watcher = openQueueRunner({ link, store: await openStore('watcher'), asker: 'watcher' });
  const began = { ms: performance.now(), cpu: process.cpuUsage(), redis: await cpuSecondsOf(link.redis) };
  await Promise.all(
    pages.map(async (page, at) => {
      const outFolder = join(folder, `out-${at}`);
      await mkdir(outFolder, { recursive: true });
      await watcher.run({ ...page, outFolder });
    }),
  );
  const seconds = (performance.now() - began.ms) / 1000;
  const { user, system } = process.cpuUsage(began.cpu);
  const redisSeconds = (await cpuSecondsOf(link.redis)) - began.redis;
  console.log(
    `${workers} workers, ${pages.length} pages of ${pageSeconds} s: ${seconds.toFixed(1)} s (${(pagesASleeper * pageSeconds).toFixed(1)} s without any overhead); ` +
      `a page costs ${((user + system) / pages.length / 1000).toFixed(1)} ms of processor time in watcher and workers together, ` +
      `${((redisSeconds / pages.length) * 1000).toFixed(2)} ms in Redis`,
  );
  for (const one of hands) await one.close();
  await watcher.close();
  await link.close();
  await redis.remove();
}

/** Pages that each sleeping worker gets. */
const pagesASleeper = 8;

/** All pages of many issues at once, with nobody to take them. */
async function manyIssues(folder: string, model: PageRequest): Promise<void> {
  const redis = await startRedis();
  const link = await openQueueLink(await queueAddress(redis.url, {}));
  await mkdir(folder, { recursive: true });
  const store = await openSharedStore(join(folder, 'store'), { cacheFolder: join(folder, 'cache') });
  const watcher = openQueueRunner({ link, store, asker: 'watcher' });
  const pages = manyPages(model, issuesAtOnce * pagesAnIssue, ['proof']);
  const [outFolder, startedMs] = [join(folder, 'out'), performance.now()];
  await mkdir(outFolder, { recursive: true });
  const grown = [];
  for (let from = 0; from < pages.length; from += pages.length / 4) {
    const part = pages.slice(from, from + pages.length / 4);
    for (const page of part) void watcher.run({ ...page, outFolder }).catch(() => undefined);
    const queue = link.openQueue(ownEngine);
    while ((await queue.getPrioritizedCount()) < from + part.length) await pause(100);
    await queue.close();
    grown.push(`${Math.round(process.memoryUsage().rss / bytesAMegabyte)} MB`);
  }
  const seconds = (performance.now() - startedMs) / 1000;
  const info = await link.redis.info('memory');
  const redisMB = Number(/used_memory:(\d+)/.exec(info)?.[1]) / bytesAMegabyte;
  console.log(
    `${pages.length} pages of ${issuesAtOnce} issues queued in ${seconds.toFixed(1)} s; watcher after each quarter: ${grown.join(', ')}; Redis ${redisMB.toFixed(0)} MB`,
  );
  await watcher.close();
  await link.close();
  await redis.remove();
}

async function cpuSecondsOf(redis: Redis): Promise<number> {
  const info = await redis.info('cpu');
  return Number(/used_cpu_user:([\d.]+)/.exec(info)?.[1]) + Number(/used_cpu_sys:([\d.]+)/.exec(info)?.[1]);
}

/** A page made once in earnest, with its files. */
async function madeOnce(folder: string, request: PageRequest) {
  const outFolder = join(folder, 'model');
  await mkdir(outFolder, { recursive: true });
  const runner = inProcessRunner();
  const made = await runner.run({ ...request, outFolder });
  await runner.close();
  const names = made.outputs.map(({ name }) => name);
  const files = new Map(
    await Promise.all(names.map(async (name) => [name, await readFile(join(outFolder, name))] as const)),
  );
  return { made, files };
}

async function requestsOf({ job }: SmallIssue): Promise<PageRequest[]> {
  const { runs } = await planIssue(job, { pages: ['1'], products: productNames });
  return runs.flatMap(({ request }) => (request?.key === undefined ? [] : [request]));
}
