import { type ChildProcess, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { readLedger } from '../../watch/daemon/ledger.js';
import { cliPath } from '../helpers/daemon.js';
import { type RedisServer, redisMissing, startRedis } from '../helpers/redis-server.js';
import {
  delivered,
  drawVariants,
  dropFinal,
  finalFiles,
  knownOutputs,
  platehand,
  undisturbed,
  variantCount,
} from './campaign-tools.js';
import { makeWatchedIssue, seededRandom, type WatchedIssue } from './watched-issue.js';

const pageCount = 8;
const watchWords = ['--settle', '0.1', '--grace', '1', '--rescan', '3'];
/** A claim that lapses soon: killed workers' pages begin anew while the campaign goes on. */
const claimSeconds = 2;
/** Between two kills, in milliseconds. */
const [shortestLifeMs, longestLifeMs] = [200, 2500];
/** Longest that finishing in peace may take. */
const finishMs = 120_000;

interface Counts {
  readonly killed: Record<'worker' | 'daemon' | 'redis', number>;
  filesChecked: number;
  partialOutputs: number;
}

/** A process of platehand that is started again whenever it was killed. */
class Living {
  private child: ChildProcess | undefined;
  constructor(private readonly words: readonly string[]) {
    this.start();
  }
  start(): void {
    this.child = spawn(process.execPath, [cliPath, ...this.words], { stdio: 'ignore' });
  }
  async end(signal: NodeJS.Signals): Promise<void> {
    const { child } = this;
    if (child === undefined || child.exitCode !== null || child.signalCode !== null) return;
    const dead = new Promise((resolve) => child.once('exit', resolve));
    child.kill(signal);
    await dead;
  }
  /** Also where it ended by itself, as it may when it was started while Redis was away. */
  async restart(): Promise<void> {
    await this.end('SIGKILL');
    this.start();
  }
  get isGone(): boolean {
    return this.child?.exitCode !== null || this.child.signalCode !== null;
  }
}

/**
 * Kills workers, daemon and Redis with SIGKILL at random moments while pages come and change, and looks all the while whether a file under a
 * final name is anything but a whole, known result. At the end the issue is finished and delivered, and its bundle held against that of one
 * machine that nobody disturbed; every object of the store has to be what its name says.
 * @returns whether nothing was wrong
 */
export async function tortureWorkers(
  workers: number,
  kills: number,
  seed: number,
  asJson: boolean,
): Promise<boolean> {
  if (redisMissing !== undefined) {
    process.stdout.write(`NOT TRIED: ${redisMissing}\n`);
    return true;
  }
  const base = await mkdtemp(join(tmpdir(), 'torture-'));
  const redis = await startRedis();
  try {
    const outcome = await campaign(base, redis, workers, kills, seed, asJson);
    if (asJson) process.stdout.write(`${JSON.stringify(outcome)}\n`);
    else process.stdout.write(`${inWords(outcome)}\n`);
    const { partialOutputs, damagedObjects, ledgerErrors, bundleIdentical } = outcome;
    return partialOutputs + damagedObjects + ledgerErrors === 0 && bundleIdentical;
  } finally {
    await redis.remove();
    await rm(base, { recursive: true, force: true, maxRetries: 5 });
  }
}

type Outcome = Awaited<ReturnType<typeof campaign>>;

function inWords(outcome: Outcome): string {
  const { kills, killed, filesChecked, partialOutputs, objects, damagedObjects, ledgerErrors } = outcome;
  return (
    `${kills} kills (${killed.worker} of workers, ${killed.daemon} of the daemon, ${killed.redis} of Redis); ` +
    `${filesChecked} files looked at under their final names, ${partialOutputs} partial or unknown; ` +
    `${objects} objects in the store, ${damagedObjects} not what they say; ${ledgerErrors} ledger errors; ` +
    `finished ${outcome.finishedAfterSeconds} s after the last kill; ` +
    `final bundle ${outcome.bundleIdentical ? 'identical to' : 'DIFFERENT from'} that of one machine`
  );
}

async function campaign(
  base: string,
  redis: RedisServer,
  workers: number,
  kills: number,
  seed: number,
  isQuiet: boolean,
) {
  const random = seededRandom(seed);
  const variants = await drawVariants();
  const known = await knownOutputs(base, variants, pageCount);
  const issue = await makeWatchedIssue(join(base, 'watched'), pageCount);
  // Of a page that waits for its colour there would be proofs that are known to nobody.
  for (const [at, page] of issue.pages.entries()) await issue.drop(page, variants[at % variantCount]);
  const shared = ['--queue', redis.url, '--store', join(base, 'store')];
  const own = (name: string) => ['--cache', join(base, name)];
  const daemon = new Living(['watch', issue.folder, ...watchWords, ...shared, ...own('cache-daemon')]);
  const work = (at: number) => [
    'work',
    ...shared,
    ...own(`cache-${at}`),
    '--jobs',
    '1',
    '--claim',
    `${claimSeconds}`,
  ];
  const hands = Array.from({ length: workers }, (_, at) => new Living(work(at)));
  const counts: Counts = { killed: { worker: 0, daemon: 0, redis: 0 }, filesChecked: 0, partialOutputs: 0 };
  try {
    for (let kill = 1; kill <= kills; kill++) {
      await dropSome(issue, variants, random);
      await look(issue.folder, known, counts, shortestLifeMs + random() * (longestLifeMs - shortestLifeMs));
      await killOne({ redis, daemon, hands }, counts, random);
      for (const one of [daemon, ...hands]) if (one.isGone) one.start();
      if (!isQuiet && kill % 10 === 0)
        process.stderr.write(`${kill} kills, ${counts.filesChecked} files looked at\n`);
    }
    const finishedAfterSeconds = await finish(issue, variants, [daemon, ...hands]);
    await look(issue.folder, known, counts, 0);
    for (const one of [daemon, ...hands]) await one.end('SIGTERM');
    const bundle = await delivered(issue.folder);
    const { damage } = await readLedger(issue.folder);
    const bundleIdentical = bundle === (await undisturbed(base, variants, pageCount));
    const store = await damagedIn(join(base, 'store'));
    return { kills, ...counts, ...store, ledgerErrors: damage.length, finishedAfterSeconds, bundleIdentical };
  } finally {
    for (const one of [daemon, ...hands]) await one.end('SIGKILL');
  }
}

async function dropSome(
  issue: WatchedIssue,
  variants: readonly Buffer[],
  random: () => number,
): Promise<void> {
  const drops = 1 + Math.floor(random() * 3);
  for (let i = 0; i < drops; i++) {
    const page = issue.pages[Math.floor(random() * pageCount)];
    await issue.drop(page, variants[Math.floor(random() * variantCount)]);
  }
}

/** Workers die most often: there are more of them. */
async function killOne(
  { redis, daemon, hands }: { redis: RedisServer; daemon: Living; hands: readonly Living[] },
  counts: Counts,
  random: () => number,
): Promise<void> {
  const at = Math.floor(random() * (hands.length + 2));
  if (at < hands.length) {
    counts.killed.worker++;
    await hands[at].restart();
  } else if (at === hands.length) {
    counts.killed.daemon++;
    await daemon.restart();
  } else {
    counts.killed.redis++;
    await redis.stop('SIGKILL');
    await pause(random() * 1000);
    await redis.start();
  }
}

async function look(
  folder: string,
  known: ReadonlySet<string>,
  counts: Counts,
  forMs: number,
): Promise<void> {
  const endMs = performance.now() + forMs;
  do {
    for (const { path, sha256 } of await finalFiles(folder)) {
      counts.filesChecked++;
      if (known.has(`${path} ${sha256}`)) continue;
      counts.partialOutputs++;
      process.stderr.write(`not a known result: ${path}\n`);
    }
    await pause(Math.min(100, Math.max(0, endMs - performance.now())));
  } while (performance.now() < endMs);
}

/** Drops the last versions and waits until all is made. @returns seconds that it took */
async function finish(
  issue: WatchedIssue,
  variants: readonly Buffer[],
  all: readonly Living[],
): Promise<number> {
  await dropFinal(issue, variants);
  const beganMs = performance.now();
  const isDone = async () =>
    (await platehand('status', issue.folder)).includes('Nothing blocks the delivery');
  while (!(await isDone())) {
    if (performance.now() - beganMs > finishMs) throw new Error('the issue was not finished in time');
    for (const one of all) if (one.isGone) one.start();
    await pause(500);
  }
  return Math.round((performance.now() - beganMs) / 1000);
}

/** Objects of the store whose bytes are not those that their names say. */
async function damagedIn(store: string): Promise<{ objects: number; damagedObjects: number }> {
  const names = await readdir(join(store, 'objects'), { recursive: true, withFileTypes: true });
  const files = names.filter((entry) => entry.isFile() && /^[0-9a-f]{64}$/.test(entry.name));
  let damagedObjects = 0;
  for (const entry of files) {
    const bytes = await readFile(join(entry.parentPath, entry.name));
    const sum = createHash('sha256').update(bytes).digest('hex');
    if (sum !== basename(entry.name)) damagedObjects++;
  }
  return { objects: files.length, damagedObjects };
}
