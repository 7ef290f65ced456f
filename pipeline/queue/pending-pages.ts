import type { Queue, QueueEvents } from 'bullmq';
import PQueue from 'p-queue';
import { failureTold, type JobOutcome } from './job-outcome.js';
import type { QueuedWork } from './page-job.js';
import type { QueueLink } from './queue-link.js';
import { droppedChannel, keyPrefix, type QueueTimes, queueName, wantedKey } from './queue-names.js';

/** A page that is to be put on the queue. */
export interface QueuedPage {
  readonly id: string;
  readonly job: QueuedWork;
  readonly priority: number;
}

/** A page that is on the queue, and who in this process waits for it. */
interface Pending extends QueuedPage {
  readonly waiters: Set<(outcome: JobOutcome) => void>;
  askedAtMs: number;
}

/** So often what is wanted is put on the queue again of which the store has lost the result, or what it is made from. */
export const mostRounds = 3;

/** Finished pages of which the queue remembers that they were there: the results themselves stand in the store. */
const rememberedDone = 1_000;
const rememberedFailed = 1_000;

/** How long it is remembered who waits for a page, in seconds: longer than any page waits. */
const wantedSeconds = 14 * 24 * 3600;

/** Pages of which nothing was heard that are asked for at a time. */
const asksAtOnce = 16;

/**
 * Pages that this process has put on the queue. It hears of what becomes of them, and asks for those of which it has heard nothing for a
 * while: news may be lost with a connection, and all of it with a server that keeps nothing.
 */
export class PendingPages {
  private readonly pending = new Map<string, Pending>();
  private readonly queue: Queue;
  private readonly events: QueueEvents;
  private readonly timer: NodeJS.Timeout;
  private closed = false;

  /** @param asker by which the queue knows who wants a page; the same after a restart */
  constructor(
    private readonly link: QueueLink,
    engine: string,
    private readonly asker: string,
    private readonly times: QueueTimes,
  ) {
    this.queue = link.openQueue(engine);
    const { connection } = link;
    this.events = new link.library.QueueEvents(queueName(engine), { connection, prefix: keyPrefix });
    // What there is to tell of a server that is away, the link tells.
    this.events.on('error', () => undefined);
    this.events.on('completed', ({ jobId, returnvalue }) =>
      this.settle(jobId, { kind: 'done', told: returnvalue }),
    );
    this.events.on('failed', ({ jobId, failedReason }) => this.settle(jobId, failureTold(failedReason)));
    this.timer = setInterval(() => void this.ask(), times.askMs);
    this.timer.unref();
  }

  /** Pages that are waited for. */
  get size(): number {
    return this.pending.size;
  }

  /**
   * Puts a page on the queue, unless it is there, and waits for what becomes of it.
   * @param signal stops waiting; what nobody waits for any more leaves the queue, and whoever is at it is told
   * @param isLeft whether a page that is given up stays on the queue all the same
   * @throws the signal's reason
   */
  have(page: QueuedPage, signal: AbortSignal | undefined, isLeft: () => boolean): Promise<JobOutcome> {
    return new Promise((resolve, reject) => {
      if (this.closed) return resolve({ kind: 'closed' });
      if (signal?.aborted) return reject(signal.reason);
      const giveUp = () => {
        this.leave(page.id, settle, isLeft());
        reject(signal?.reason);
      };
      const settle = (outcome: JobOutcome) => {
        signal?.removeEventListener('abort', giveUp);
        resolve(outcome);
      };
      signal?.addEventListener('abort', giveUp, { once: true });
      const known = this.pending.get(page.id);
      const pending = known ?? { ...page, waiters: new Set(), askedAtMs: performance.now() };
      pending.waiters.add(settle);
      this.pending.set(page.id, pending);
      // A server that is away keeps this waiting; asking does it again in any case.
      if (known === undefined) void this.put(pending).catch(() => undefined);
    });
  }

  /** Stops waiting for all of them; they stay on the queue. */
  async close(): Promise<void> {
    this.closed = true;
    clearInterval(this.timer);
    for (const id of [...this.pending.keys()]) this.settle(id, { kind: 'closed' });
    await Promise.all([this.events.close(), this.queue.close()]).catch(() => undefined);
  }

  /** Puts a page on the queue. One that ended there earlier, and of which the store has nothing, makes room for itself. */
  private async put(page: Pending): Promise<void> {
    const { id, job, priority } = page;
    await this.link.redis.multi().sadd(wantedKey(id), this.asker).expire(wantedKey(id), wantedSeconds).exec();
    if (!this.isWaitedFor(page)) return this.drop(id);
    const state = await this.queue.getJobState(id);
    if (state === 'completed' || state === 'failed') await this.queue.remove(id);
    await this.queue.add('sheet' in job ? 'sheet' : 'page', job, {
      jobId: id,
      priority,
      removeOnComplete: { count: rememberedDone },
      removeOnFail: { count: rememberedFailed },
    });
    // Given up while the server took its time.
    if (!this.isWaitedFor(page)) await this.drop(id);
  }

  private isWaitedFor(page: Pending): boolean {
    return this.pending.get(page.id) === page;
  }

  private settle(id: string, outcome: JobOutcome): void {
    const pending = this.pending.get(id);
    if (pending === undefined) return;
    if (outcome.kind === 'dropped') {
      // Another's giving up and our asking crossed.
      void this.put(pending).catch(() => undefined);
      return;
    }
    this.pending.delete(id);
    void this.link.redis.srem(wantedKey(id), this.asker).catch(() => undefined);
    for (const tell of pending.waiters) tell(outcome);
  }

  private leave(id: string, waiter: (outcome: JobOutcome) => void, isLeft: boolean): void {
    const pending = this.pending.get(id);
    if (pending?.waiters.delete(waiter) !== true || pending.waiters.size > 0) return;
    this.pending.delete(id);
    if (!isLeft) void this.drop(id).catch(() => undefined);
  }

  /** Takes a page from the queue that nobody wants any more; a worker that is at it is told to leave it. */
  private async drop(id: string): Promise<void> {
    const { redis } = this.link;
    await redis.srem(wantedKey(id), this.asker);
    if ((await redis.scard(wantedKey(id))) > 0) return;
    const removed = await this.queue.remove(id);
    if (removed === 0) await redis.publish(droppedChannel, id);
  }

  /** Asks for pages of which nothing was heard for a while. */
  private async ask(): Promise<void> {
    if (this.link.redis.status !== 'ready') return;
    const longAgo = performance.now() - this.times.askMs;
    const silent = [...this.pending.values()].filter(({ askedAtMs }) => askedAtMs <= longAgo);
    const asks = new PQueue({ concurrency: asksAtOnce });
    await asks.addAll(silent.map((page) => () => this.askFor(page).catch(() => undefined)));
  }

  private async askFor(page: Pending): Promise<void> {
    page.askedAtMs = performance.now();
    const state = await this.queue.getJobState(page.id);
    if (!this.isWaitedFor(page)) return;
    if (state === 'unknown') await this.put(page);
    else if (state === 'completed' || state === 'failed') {
      const job = await this.queue.getJob(page.id);
      const isDone = state === 'completed';
      this.settle(
        page.id,
        isDone ? { kind: 'done', told: job?.returnvalue } : failureTold(job?.failedReason ?? ''),
      );
    }
  }
}
