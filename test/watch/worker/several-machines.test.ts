import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { delivered } from '../../bench/campaign-tools.js';
import { colourVariant, makeWatchedIssue, type WatchedIssue } from '../../bench/watched-issue.js';
import { cliPath, until } from '../../helpers/daemon.js';
import { type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';
import { type BucketServer, startBucketServer } from '../../helpers/s3-server.js';

const pageCount = 4;
/** Nobody may read it anywhere. */
const password = 'drowned-lighthouse-42';

/** A command in a process of its own, with all that it prints. */
interface Running {
  readonly child: ChildProcess;
  text(): string;
  readonly ended: Promise<number | NodeJS.Signals | null>;
  /** Objects of its log, for commands that log JSON. */
  log(): { kind: string; message?: string; page?: string }[];
}

function start(words: readonly string[], env: Readonly<Record<string, string>> = {}): Running {
  const child = spawn(process.execPath, [cliPath, ...words], {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...env },
  });
  let text = '';
  for (const stream of [child.stdout, child.stderr]) {
    stream?.on('data', (chunk: Buffer) => {
      text += chunk.toString();
    });
  }
  const ended = new Promise<number | NodeJS.Signals | null>((resolve) => {
    child.once('exit', (code, signal) => resolve(signal ?? code));
  });
  const log = () =>
    text
      .split('\n')
      .filter((line) => line.startsWith('{') && line.endsWith('}'))
      .map((line) => JSON.parse(line));
  return { child, text: () => text, ended, log };
}

describe.skipIf(redisMissing !== undefined)(
  `several machines${redisMissing ? ` (${redisMissing})` : ''}`,
  () => {
    let base: string;
    let redis: RedisServer;
    let bucket: BucketServer;
    let alone: string;
    let running: Running[];
    let number = 0;
    const secret = { PLATEHAND_QUEUE_PASSWORD: password };
    const run = (words: readonly string[], env: Readonly<Record<string, string>> = secret) => {
      const one = start(words, env);
      running.push(one);
      return one;
    };
    const dropAll = async (issue: WatchedIssue) => {
      for (const [at, page] of issue.pages.entries()) await issue.drop(page, await colourVariant(at));
    };
    beforeAll(async () => {
      base = await mkdtemp(join(tmpdir(), 'machines-'));
      redis = await startRedis(['--appendonly', 'yes', '--requirepass', password]);
      bucket = await startBucketServer();
      const issue = await makeWatchedIssue(join(base, 'alone'), pageCount);
      await dropAll(issue);
      alone = await delivered(issue.folder);
    });
    afterAll(async () => {
      await redis.remove();
      await bucket.close();
      await rm(base, { recursive: true, force: true, maxRetries: 5 });
    });
    beforeEach(() => {
      running = [];
    });
    afterEach(async () => {
      for (const { child } of running) child.kill('SIGKILL');
      await Promise.all(running.map(({ ended }) => ended));
      // A password that was given in the environment is nowhere in what anybody printed.
      for (const { text } of running) expect(text()).not.toContain(password);
    });

    /** Words for a queue, a store and a cache of one's own. */
    const shared = (store: string) => [
      '--queue',
      redis.url,
      '--store',
      store,
      '--cache',
      join(base, `cache-${++number}`),
    ];
    const watch = (issue: WatchedIssue, store: string) =>
      run(['watch', issue.folder, '--settle', '0.15', '--log-json', ...shared(store)]);
    const work = (store: string) =>
      run(['work', '--jobs', '1', '--claim', '2', '--log-json', ...shared(store)]);
    const hasSaid = (one: Running, kind: string) => one.log().some((event) => event.kind === kind);

    test.each([
      ['a folder', () => join(base, 'store')],
      ['a bucket', () => bucket.newAddress()],
    ])('that share %s make the bundle of one machine, though a worker is killed', async (name, placeOf) => {
      const store = placeOf();
      const issue = await makeWatchedIssue(join(base, `on a queue, ${name}`), pageCount);
      await dropAll(issue);
      const daemon = watch(issue, store);
      await until(() => hasSaid(daemon, 'started'), daemon.text);
      const killed = work(store);
      await until(() => hasSaid(killed, 'made'), killed.text);
      killed.child.kill('SIGKILL');
      const [one, other] = [work(store), work(store)];
      await until(
        () => hasSaid(daemon, 'issue-complete'),
        () => daemon.text() + one.text() + other.text(),
      );
      expect([one, other].some((worker) => hasSaid(worker, 'made'))).toBe(true);
      for (const { child } of [daemon, one, other]) child.kill('SIGTERM');
      expect(await Promise.all([daemon.ended, one.ended, other.ended])).toEqual([0, 0, 0]);
      expect(await delivered(issue.folder)).toBe(alone);
    });

    test('are paused and resumed together, and say who is there', async () => {
      const store = join(base, 'store');
      const issue = await makeWatchedIssue(join(base, 'paused'), pageCount);
      const paused = run(['pause', '--queue', redis.url, '--json']);
      expect(await paused.ended).toBe(0);
      await issue.drop('1', await colourVariant(9));
      const daemon = watch(issue, store);
      await until(() => hasSaid(daemon, 'started'), daemon.text);
      const worker = work(store);
      await until(() => hasSaid(worker, 'began'), worker.text);
      const view = async () => {
        const told = run(['workers', '--queue', redis.url, '--json']);
        expect(await told.ended).toBe(0);
        return JSON.parse(told.text());
      };
      await until(async () => (await view()).engines[0].waiting > 0, 'a page on the queue');
      expect(await view()).toMatchObject({
        paused: true,
        workers: expect.arrayContaining([
          expect.objectContaining({ pid: worker.child.pid, inHand: [], made: 0 }),
        ]),
        watchers: expect.arrayContaining([expect.objectContaining({ pid: daemon.child.pid })]),
        engines: [{ inHand: 0 }],
      });
      expect(hasSaid(worker, 'made')).toBe(false);
      expect(await run(['resume', '--queue', redis.url]).ended).toBe(0);
      await until(() => hasSaid(worker, 'made'), worker.text);
    });

    test('are told what is wrong with queue, store and version, and what to do', async () => {
      const nobody = run(['workers', '--queue', 'redis://127.0.0.1:1']);
      expect(await nobody.ended).toBe(2);
      expect(nobody.text()).toContain('cannot be reached');
      const refused = run(['workers', '--queue', redis.url.replace('//', '//:wrong@')], {});
      expect(await refused.ended).toBe(2);
      expect(refused.text()).toContain('PLATEHAND_QUEUE_PASSWORD');
      expect(refused.text()).not.toContain('wrong@');
      const unmounted = run(['work', ...shared(join(base, 'not mounted'))]);
      expect(await unmounted.ended).toBe(2);
      expect(unmounted.text()).toContain('mounted');
      const half = run(['watch', base, '--queue', redis.url]);
      expect(await half.ended).toBe(2);
      expect(half.text()).toContain('--store');
      const setUp = { ...secret, PLATEHAND_STORE: join(base, 'not mounted') };
      const asSetUp = run(['work', '--queue', redis.url], setUp);
      expect(await asSetUp.ended).toBe(2);
      expect(asSetUp.text()).toContain('mounted');
    });

    test('refuse a server that drops keys, and are warned of one that keeps nothing', async () => {
      const dropping = await startRedis(['--maxmemory-policy', 'allkeys-lru']);
      const refused = run(['work', '--queue', dropping.url, '--store', join(base, 'store')], {});
      expect(await refused.ended).toBe(2);
      expect(refused.text()).toContain('noeviction');
      await dropping.remove();
      const forgetting = await startRedis(['--appendonly', 'no']);
      const view = run(['workers', '--queue', forgetting.url], {});
      expect(await view.ended).toBe(0);
      expect(view.text()).toContain('appendonly yes');
      await forgetting.remove();
    });

    test('have a worker of another version refuse to begin', async () => {
      const { queueAddress } = await import('../../../pipeline/queue/queue-address.js');
      const { openQueueLink } = await import('../../../pipeline/queue/queue-link.js');
      const link = await openQueueLink(await queueAddress(redis.url, secret));
      // Those that were killed count as there for a while.
      await link.redis.del('platehand:watchers');
      await link.redis.sadd('platehand:watchers', 'elsewhere');
      const news = JSON.stringify({ id: 'elsewhere', engine: '9.9.9.1' });
      await link.redis.set('platehand:watchers:elsewhere', news, 'PX', 20_000);
      const worker = work(join(base, 'store'));
      expect(await worker.ended).toBe(2);
      expect(worker.text()).toMatch(/9\.9\.9\.1.*same version on every machine/);
      await link.redis.del('platehand:watchers:elsewhere');
      await link.close();
    });
  },
);
