import { hostname } from 'node:os';
import type { Redis } from 'ioredis';
import { countPage } from '../../pipeline/queue/counts.js';
import { Presence } from '../../pipeline/queue/presence.js';
import { processName, type QueueTimes } from '../../pipeline/queue/queue-names.js';
import type { PageInHand, WorkerNews } from '../../pipeline/queue/queue-view.js';

/** What does not change while a worker works. */
export type WorkerFacts = Pick<WorkerNews, 'engine' | 'jobs' | 'pixelBudget'>;

/** What a worker has done and is at, and how it tells of it. */
export class WorkerRecord {
  /** Why it takes nothing just now; undefined while all is well. */
  trouble: string | undefined;
  private readonly inHand = new Map<string, PageInHand>();
  private readonly counts = { made: 0, failed: 0 };
  private readonly since = new Date().toISOString();
  private readonly presence: Presence;

  /** @param pixels how many are in hand now */
  constructor(
    private readonly redis: Redis,
    private readonly facts: WorkerFacts,
    times: QueueTimes,
    private readonly pixels: () => number,
  ) {
    this.presence = new Presence(redis, 'workers', processName, times, () => this.news());
  }

  /** Pages in hand. */
  get size(): number {
    return this.inHand.size;
  }

  /** Tells from now on. */
  start(): void {
    this.presence.start();
  }

  /** Tells that it is gone. */
  close(): Promise<void> {
    return this.presence.close();
  }

  /** A page was begun. */
  began(id: string, page: Omit<PageInHand, 'since'>): void {
    this.inHand.set(id, { ...page, since: new Date().toISOString() });
    void this.presence.tell();
  }

  /** Nobody here is at the page any more. */
  ended(id: string): void {
    this.inHand.delete(id);
    void this.presence.tell();
  }

  /** Counts a page, here and for all workers together. */
  count(what: 'made' | 'failed'): void {
    this.counts[what]++;
    void countPage(this.redis, this.facts.engine, what).catch(() => undefined);
  }

  private news(): WorkerNews {
    return {
      id: processName,
      host: hostname(),
      pid: process.pid,
      since: this.since,
      ...this.facts,
      pixelsInHand: this.pixels(),
      inHand: [...this.inHand.values()],
      ...this.counts,
      ...(this.trouble === undefined ? {} : { trouble: this.trouble }),
    };
  }
}
