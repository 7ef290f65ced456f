import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Job, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { messageOf } from '../../config/errors.js';
import { type CheckedJob, checkedJob, wordsOf } from '../../pipeline/queue/checked-job.js';
import { droppedText, failureText, mayPass, readFailure } from '../../pipeline/queue/job-outcome.js';
import type { BundleDone, PageDone, SheetDone } from '../../pipeline/queue/page-job.js';
import { readPresent } from '../../pipeline/queue/presence.js';
import type { QueueLink } from '../../pipeline/queue/queue-link.js';
import {
  droppedChannel,
  keyPrefix,
  ownEngine,
  processName,
  type QueueTimes,
  queueName,
  usualTimes,
} from '../../pipeline/queue/queue-names.js';
import type { WorkerNews } from '../../pipeline/queue/queue-view.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';
import { packSentBundle } from './bundle-work.js';
import { makeSentPage } from './page-work.js';
import { drawSentSheet } from './sheet-work.js';
import { Turns } from './turns.js';
import type { WorkEvent } from './work-event.js';
import { WorkerRecord } from './worker-record.js';

/** How a worker is opened. Link, store and runner stay the caller's. */
export interface QueueWorkerOptions {
  /** The queue. */
  readonly link: QueueLink;
  /** Where it finds what pages are made from, and leaves what it made. */
  readonly store: SharedStore;
  /** Does the pages, in processes of its own: this one has to keep its claims on them alive. */
  readonly runner: PageRunner;
  /** Pages at a time, 1 or more. */
  readonly jobs: number;
  /** Pixels in hand at most. */
  readonly pixelBudget: number;
  /** Is told of everything that happens. */
  readonly onEvent: (event: WorkEvent) => void;
  /** Version of the engine; default this one's. */
  readonly engine?: string;
  /** How long claims hold, and how often what is told; default as in `usualTimes`. */
  readonly times?: Partial<QueueTimes>;
}

/** A worker at work. */
export interface QueueWorker {
  /** Takes nothing more, lets pages in hand end within `limitMs`, and gives the others back to the queue. */
  close(limitMs?: number): Promise<void>;
}

/**
 * So often a page may lose its worker. A page that kills its own process is refused by the runner long before; so this is about machines that
 * are taken away.
 */
const mostLostWorkers = 10;

/** An idle worker looks this often for pages that came back without a word, such as from a worker that ended. */
const idleLookSeconds = 1;

/** After so long a page that is too large for this worker is offered again, while a larger worker is there, in milliseconds. */
const offeredAgainMs = 2_000;

/** Room that ending has for pages in hand, in milliseconds. */
const closingMs = 3_000;

/** What a worker hands back. */
type WorkDone = PageDone | SheetDone | BundleDone;

/** Begins to take pages from a queue. */
export async function openQueueWorker(options: QueueWorkerOptions): Promise<QueueWorker> {
  const folder = await mkdtemp(join(tmpdir(), 'platehand-work-'));
  const worker = new PageWorker(options, folder);
  await worker.start();
  return worker;
}

class PageWorker implements QueueWorker {
  private readonly times: QueueTimes;
  private readonly turns: Turns;
  private readonly worker: Worker;
  private readonly listener: Redis;
  private readonly record: WorkerRecord;
  private readonly ending = new AbortController();
  private readonly engine: string;
  private waitMs = 0;
  private closing: Promise<void> | undefined;

  constructor(
    private readonly options: QueueWorkerOptions,
    private readonly folder: string,
  ) {
    const { link, jobs, pixelBudget, engine = ownEngine } = options;
    this.engine = engine;
    this.times = { ...usualTimes, ...options.times };
    this.turns = new Turns(pixelBudget);
    // The library hands a signal only to who names it: three parameters without a default.
    const work = (job: Job, token: string | undefined, signal: AbortSignal | undefined) =>
      this.process(job, token ?? '', signal);
    this.worker = new link.library.Worker(queueName(engine), work, {
      connection: link.connection,
      prefix: keyPrefix,
      autorun: false,
      name: processName,
      concurrency: jobs,
      lockDuration: this.times.lockMs,
      stalledInterval: this.times.stalledMs,
      maxStalledCount: mostLostWorkers,
      drainDelay: idleLookSeconds,
    });
    this.worker.on('error', (error) => this.queueTrouble(error));
    this.worker.on('failed', (job, error) => this.forgetDropped(job, error));
    this.listener = new link.library.Redis(link.connection);
    this.listener.on('error', () => undefined);
    this.listener.on('message', (_channel, id) => this.worker.cancelJob(id, 'nobody waits for it'));
    const facts = { engine, jobs, pixelBudget };
    this.record = new WorkerRecord(link.redis, facts, this.times, () => this.turns.pixels);
  }

  async start(): Promise<void> {
    await this.listener.subscribe(droppedChannel);
    this.record.start();
    void this.worker.run();
  }

  close(limitMs = closingMs): Promise<void> {
    this.closing ??= this.end(limitMs);
    return this.closing;
  }

  private async end(limitMs: number): Promise<void> {
    const giveUp = setTimeout(() => this.ending.abort(), limitMs);
    await this.worker.close();
    clearTimeout(giveUp);
    await this.record.close();
    this.listener.disconnect();
    await rm(this.folder, { recursive: true, force: true });
  }

  /** One page, whatever becomes of it. What is thrown is what the library is to do with it. */
  private async process(job: Job, token: string, signal = new AbortController().signal): Promise<WorkDone> {
    const { WaitingError, UnrecoverableError } = this.options.link.library;
    const given = AbortSignal.any([signal, this.ending.signal]);
    try {
      const work = checkedJob(job.data, this.engine);
      if (await this.isForLarger(work)) return await this.offerAgain(job, token);
      return await this.workOn(job.id ?? '', work, given);
    } catch (thrown) {
      if (isOfLibrary(thrown)) throw thrown;
      if (this.ending.signal.aborted || (!signal.aborted && mayPass(thrown))) {
        if (!this.ending.signal.aborted) this.rest(thrown);
        await job.moveToWait(token);
        throw new WaitingError();
      }
      if (signal.aborted) throw new UnrecoverableError(droppedText(processName));
      this.record.count('failed');
      this.tell({ kind: 'failed', ...wordsOf(job.data), message: messageOf(thrown) });
      throw new UnrecoverableError(failureText(processName, thrown));
    }
  }

  private async workOn(id: string, work: CheckedJob, signal: AbortSignal): Promise<WorkDone> {
    const { words, pixels } = work;
    const turn = this.turns.during(pixels, signal, async () => {
      this.record.began(id, words);
      const beganMs = performance.now();
      const done = await this.made(work, signal);
      const isFound = 'found' in done && done.found;
      this.record.trouble = undefined;
      this.waitMs = 0;
      this.tell({
        kind: isFound ? 'found' : 'made',
        ...words,
        seconds: (performance.now() - beganMs) / 1000,
      });
      return done;
    });
    this.takeWhatFits();
    return turn.finally(() => {
      this.record.ended(id);
      this.takeWhatFits();
    });
  }

  private async made(work: CheckedJob, signal: AbortSignal): Promise<WorkDone> {
    const { store, runner } = this.options;
    const place = { store, runner, folder: this.folder };
    const worker = processName;
    if (work.kind === 'bundle') return { worker, zip: await packSentBundle(store, work.bundle, signal) };
    if (work.kind === 'sheet') return { worker, png: await drawSentSheet(place, work.sheet, signal) };
    const { found } = await makeSentPage(place, work.request, signal);
    if (!found) this.record.count('made');
    return { worker, found };
  }

  /** While a page waits for room, no more are taken: others may have the room for them. */
  private takeWhatFits(): void {
    this.worker.concurrency = this.turns.isFull ? Math.max(1, this.record.size) : this.options.jobs;
  }

  /** Whether another worker has the room for a page that is larger than all of this one's. */
  private async isForLarger({ pixels }: CheckedJob): Promise<boolean> {
    const { pixelBudget, link } = this.options;
    if (pixels <= pixelBudget) return false;
    const others = (await readPresent(link.redis, 'workers')) as Partial<WorkerNews>[];
    return others.some((other) => other.engine === this.engine && (other.pixelBudget ?? 0) >= pixels);
  }

  private async offerAgain(job: Job, token: string): Promise<never> {
    await job.moveToDelayed(Date.now() + offeredAgainMs, token);
    throw new this.options.link.library.DelayedError();
  }

  /** Takes nothing for a while: disk, store or network are in trouble, and the next page would meet the same. */
  private rest(thrown: unknown): void {
    const { retryMs, retryMostMs } = this.times;
    this.waitMs = Math.min(this.waitMs === 0 ? retryMs : 2 * this.waitMs, retryMostMs);
    const trouble = messageOf(thrown);
    this.record.trouble = trouble;
    this.tell({
      kind: 'trouble',
      message: `${trouble} (tried again in ${Math.ceil(this.waitMs / 1000)} s)`,
    });
    void this.worker.pause(true);
    setTimeout(() => this.worker.resume(), this.waitMs).unref();
  }

  /** What there is to tell of a server that is away, the link tells; anything else would stay unknown. */
  private queueTrouble(error: Error): void {
    if (this.options.link.redis.status !== 'ready' || /connection|ECONN|EPIPE/i.test(error.message)) return;
    this.tell({ kind: 'trouble', message: messageOf(error) });
  }

  /** What nobody waits for is no failure. */
  private forgetDropped(job: Job | undefined, error: Error): void {
    if (readFailure(error.message)?.kind !== 'dropped') return;
    this.tell({ kind: 'dropped', ...wordsOf(job?.data) });
    void job?.remove().catch(() => undefined);
  }

  private tell(event: Omit<WorkEvent, 'at' | 'worker'>): void {
    this.options.onEvent({ at: new Date().toISOString(), worker: processName, ...event });
  }
}

const libraryErrors = new Set(['WaitingError', 'DelayedError', 'UnrecoverableError']);

function isOfLibrary(thrown: unknown): boolean {
  return thrown instanceof Error && libraryErrors.has(thrown.name);
}
