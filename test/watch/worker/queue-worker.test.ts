import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { planIssue } from '../../../pipeline/issue/plan.js';
import type { PageRequest } from '../../../pipeline/model/page-request.js';
import { type ProductName, productNames } from '../../../pipeline/model/page-result.js';
import { jobIdOf } from '../../../pipeline/queue/page-job.js';
import { keyPrefix, ownEngine } from '../../../pipeline/queue/queue-names.js';
import { pauseQueue, readQueue } from '../../../pipeline/queue/read-queue.js';
import { inProcessRunner } from '../../../pipeline/runner/in-process.js';
import { pagePixels } from '../../../pipeline/runner/page-cost.js';
import type { PageRunner } from '../../../pipeline/runner/page-runner.js';
import { openQueueRoom, type QueueRoom } from '../../helpers/queue-room.js';
import { type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';
import { describeRunner } from '../../helpers/runner-conformance.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

/** Runs pages one after the other, each only once it is let through. */
function gatedRunner(): PageRunner & { readonly begun: string[]; readonly aborted: string[]; open(): void } {
  const pages = inProcessRunner();
  let open = (): void => undefined;
  const gate = new Promise<void>((resolve) => {
    open = resolve;
  });
  const begun: string[] = [];
  const aborted: string[] = [];
  return {
    takesUnhashed: true,
    begun,
    aborted,
    open: () => open(),
    close: () => pages.close(),
    async run(request, signal) {
      const name = `${request.page.id} ${request.products.join('+')}`;
      begun.push(name);
      await new Promise<void>((resolve, reject) => {
        void gate.then(resolve);
        signal?.addEventListener('abort', () => {
          aborted.push(name);
          reject(signal.reason);
        });
      });
      return pages.run(request, signal);
    },
  };
}

/** Waits until something is so. */
async function until(isSo: () => boolean | Promise<boolean>, limitMs = 15_000): Promise<void> {
  const endMs = performance.now() + limitMs;
  while (!(await isSo())) {
    if (performance.now() > endMs) throw new Error(`still not so: ${isSo}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

describe.skipIf(redisMissing !== undefined)(
  `pages on a queue${redisMissing ? ` (${redisMissing})` : ''}`,
  () => {
    let redis: RedisServer;
    let issue: SmallIssue;
    let requests: ReadonlyMap<string, PageRequest>;
    let room: QueueRoom;
    let folders = 0;
    beforeAll(async () => {
      redis = await startRedis();
      issue = await openSmallIssue();
      await dropAll(issue);
      const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
      const planned = runs.flatMap(({ request }) => (request?.key === undefined ? [] : [request]));
      requests = new Map(planned.map((request) => [request.page.id, request]));
    });
    afterAll(async () => {
      await redis.remove();
      await issue.remove();
    });
    beforeEach(async () => {
      room = await openQueueRoom(redis.url);
      await (await room.link()).redis.flushall();
    });
    afterEach(() => room.close());

    const asked = async (
      page: string,
      products: readonly ProductName[] = ['proof'],
    ): Promise<PageRequest> => {
      const request = requests.get(page);
      if (request === undefined) throw new Error(`page ${page} was not planned`);
      const outFolder = join(issue.folder, `out-${++folders}`);
      await mkdir(outFolder);
      return { ...request, products, outFolder };
    };
    const counts = async () => {
      const { engines } = await readQueue(await room.link());
      return engines.find(({ engine }) => engine === ownEngine);
    };

    describeRunner('through a queue', async () => {
      const watcher = await room.watcher();
      const worker = inProcessRunner();
      await room.worker(worker);
      return watcher;
    });

    test('that two daemons ask for are made once', async () => {
      const one = await room.watcher('one');
      const other = await room.watcher('other');
      const gate = gatedRunner();
      const worker = await room.worker(gate);
      const both = [one.run(await asked('1')), other.run(await asked('1'))];
      await until(() => gate.begun.length > 0);
      gate.open();
      const [first, second] = await Promise.all(both);
      expect(second).toEqual(first);
      expect(gate.begun).toEqual(['1 proof']);
      expect(await one.run(await asked('1'))).toEqual(first);
      expect(worker.events.map(({ kind }) => kind)).toEqual(['made']);
    });

    test('are taken proofs first, then due soonest', async () => {
      const watcher = await room.watcher();
      const link = await room.link();
      await pauseQueue(link, true);
      const gate = gatedRunner();
      gate.open();
      await room.worker(gate, { jobs: 1 });
      const day = 24 * 3600 * 1000;
      const now = Date.UTC(2026, 10, 20);
      const runs = [
        watcher.run(await asked('1', ['press']), undefined, now + day),
        watcher.run(await asked('2'), undefined, now + 9 * day),
        watcher.run(await asked('3'), undefined, now + 2 * day),
        watcher.run(await asked('2', ['press']), undefined, undefined),
      ];
      await until(async () => (await counts())?.waiting === 4);
      expect(gate.begun).toEqual([]);
      await pauseQueue(link, false);
      await Promise.all(runs);
      expect(gate.begun).toEqual(['3 proof', '2 proof', '1 press', '2 press']);
    });

    test('leave it when nobody wants them any more, waiting or in hand', async () => {
      const watcher = await room.watcher();
      const gate = gatedRunner();
      const worker = await room.worker(gate, { jobs: 1 });
      const dropping = new AbortController();
      const reason = new Error('a newer version has come');
      const inHand = watcher.run(await asked('1'), dropping.signal);
      await until(() => gate.begun.length === 1);
      const waiting = watcher.run(await asked('2'), dropping.signal);
      await until(async () => (await counts())?.waiting === 1);
      dropping.abort(reason);
      await expect(inHand).rejects.toBe(reason);
      await expect(waiting).rejects.toBe(reason);
      await until(() => worker.events.some(({ kind }) => kind === 'dropped'));
      expect(gate.aborted).toEqual(['1 proof']);
      await until(async () => {
        const { waiting, inHand } = (await counts()) ?? { waiting: 1, inHand: 1 };
        return waiting + inHand === 0;
      });
      expect((await readQueue(await room.link())).failures).toEqual([]);
    });

    test('stay while another daemon wants them', async () => {
      const [one, other] = [await room.watcher('one'), await room.watcher('other')];
      const gate = gatedRunner();
      await room.worker(gate);
      const dropping = new AbortController();
      const given = one.run(await asked('1'), dropping.signal).catch(() => 'given up');
      const wanted = other.run(await asked('1'));
      await until(() => gate.begun.length === 1);
      dropping.abort();
      expect(await given).toBe('given up');
      gate.open();
      expect((await wanted).page).toBe('1');
      expect(gate.aborted).toEqual([]);
    });

    test('stay there when their daemon ends, and are found made by the next', async () => {
      const before = await room.watcher();
      const ending = new AbortController();
      const left = before.run(await asked('1'), ending.signal).catch(() => 'left');
      await until(async () => (await counts())?.waiting === 1);
      before.leaveWork();
      ending.abort();
      expect(await left).toBe('left');
      await before.close();
      const worker = await room.worker(inProcessRunner());
      await until(() => worker.events.some(({ kind }) => kind === 'made'));
      const after = await room.watcher();
      await after.run(await asked('1'));
      expect(worker.events.map(({ kind }) => kind)).toEqual(['made']);
    });

    test('are put on it anew by who waits for them, after a server that kept nothing', async () => {
      const watcher = await room.watcher();
      const waiting = watcher.run(await asked('1'));
      await until(async () => (await counts())?.waiting === 1);
      await (await room.link()).redis.flushall();
      await room.worker(inProcessRunner());
      expect((await waiting).page).toBe('1');
    });

    test('come out when the server was away for a while, whatever was asked meanwhile', async () => {
      const watcher = await room.watcher();
      const gate = gatedRunner();
      await room.worker(gate);
      const before = watcher.run(await asked('1'));
      await until(() => gate.begun.length === 1);
      await redis.stop();
      const meanwhile = watcher.run(await asked('2'));
      gate.open();
      await new Promise((resolve) => setTimeout(resolve, 1_000));
      await redis.start();
      expect((await before).page).toBe('1');
      expect((await meanwhile).page).toBe('2');
    });

    test('go back to it from a worker that ends', async () => {
      const watcher = await room.watcher();
      const gate = gatedRunner();
      const ending = await room.worker(gate);
      const page = watcher.run(await asked('1'));
      await until(() => gate.begun.length === 1);
      await ending.close(0);
      const other = await room.worker(inProcessRunner());
      expect((await page).page).toBe('1');
      expect(other.events.map(({ kind }) => kind)).toEqual(['made']);
    });

    test('wait while a store is in trouble, and are made once it is not', async () => {
      const watcher = await room.watcher();
      const store = await room.openStore();
      let isFull = true;
      const worker = await room.worker(inProcessRunner(), {
        store: Object.assign(Object.create(store), {
          holds: async (page: string, key: string) => {
            if (isFull) throw Object.assign(new Error('no space left on device'), { code: 'ENOSPC' });
            return store.holds(page, key);
          },
        }),
      });
      const page = watcher.run(await asked('1'));
      await until(() => worker.events.some(({ kind }) => kind === 'trouble'));
      await until(async () => (await readQueue(await room.link())).workers[0]?.trouble !== undefined);
      isFull = false;
      expect((await page).page).toBe('1');
      expect(worker.events.at(-1)?.kind).toBe('made');
    });

    test('of another version are never taken, and are told of', async () => {
      const newer = await room.watcher('newer', '9.9.9.1');
      const older = await room.watcher('older');
      const worker = await room.worker(inProcessRunner());
      const link = await room.link();
      await link.redis.sadd(`${keyPrefix}:engines`, '9.9.9.1', ownEngine);
      const controller = new AbortController();
      const never = newer.run(await asked('1'), controller.signal).catch(() => 'given up');
      expect((await older.run(await asked('2'))).page).toBe('2');
      expect(worker.events).toHaveLength(1);
      await until(async () => {
        const { warnings } = await readQueue(link);
        return warnings.some((text) => text.includes('9.9.9.1'));
      });
      controller.abort();
      expect(await never).toBe('given up');
    });

    test('that are larger than a worker go to one that has the room, else are made alone', async () => {
      const watcher = await room.watcher();
      const pixels = pagePixels(await asked('1'));
      const small = await room.worker(inProcessRunner(), { pixelBudget: pixels - 1 });
      expect((await watcher.run(await asked('1'))).page).toBe('1');
      expect(small.events.map(({ kind }) => kind)).toEqual(['made']);
      // In one process both have one name: the room of the larger one is told by hand.
      const { redis: own } = await room.link();
      await small.close();
      await own.sadd(`${keyPrefix}:workers`, 'large');
      await own.set(`${keyPrefix}:workers:large`, JSON.stringify({ engine: ownEngine, pixelBudget: pixels }));
      const again = await room.worker(inProcessRunner(), { pixelBudget: pixels - 1 });
      const controller = new AbortController();
      const left = watcher.run(await asked('2'), controller.signal).catch(() => 'given up');
      await until(async () => {
        const queue = (await room.link()).openQueue(ownEngine);
        const { delayed = 0 } = await queue.getJobCounts('delayed');
        await queue.close();
        return delayed === 1;
      });
      expect(again.events).toEqual([]);
      controller.abort();
      await left;
    });

    test('are refused where they are not what they say, and nothing else stops', async () => {
      const watcher = await room.watcher();
      const request = await asked('1');
      const other = await asked('2');
      await room.worker(inProcessRunner());
      const lying = { ...request, key: other.key.replace(/^./, (digit) => (digit === '0' ? '1' : '0')) };
      await expect(watcher.run(lying)).rejects.toMatchObject({ code: 'queue-refused' });
      const queue = (await room.link()).openQueue(ownEngine);
      for (const data of [
        {},
        { engine: ownEngine },
        { engine: ownEngine, request: { ...other, files: '/etc/passwd' } },
        { engine: '0', request: {} },
      ]) {
        await queue.add('page', data, { jobId: `hostile-${JSON.stringify(data).length}-x` });
      }
      await until(async () => (await queue.getFailedCount()) === 5);
      await queue.close();
      const { failures } = await readQueue(await room.link());
      expect(failures.map(({ worker }) => worker)).not.toContain(undefined);
      expect((await watcher.run(request)).page).toBe('1');
    });

    test('of which the store has lost the files are put there again', async () => {
      const watcher = await room.watcher();
      const request = await asked('3');
      // Whoever takes files sees none until the daemon has put them once more.
      const store = await room.openStore();
      const { sha256 } = request.files[0];
      const object = join(room.store, 'objects', sha256.slice(0, 2), sha256);
      let isLost = false;
      await room.worker(inProcessRunner(), {
        store: Object.assign(Object.create(store), {
          takeInput: async (facts: { sha256: string; bytes: number }) => {
            if (!isLost) await rm(object);
            isLost = true;
            return store.takeInput(facts);
          },
        }),
      });
      expect((await watcher.run(request)).page).toBe('3');
      expect(isLost).toBe(true);
    });

    test('are called by what comes of them', () => {
      expect(jobIdOf({ key: 'ab' }, ['proof', 'press'])).toBe(jobIdOf({ key: 'ab' }, ['press', 'proof']));
    });
  },
);
