import type { Redis } from 'ioredis';
import { newsKey, type PresentKind, presentKey, type QueueTimes } from './queue-names.js';

/** So many news may be missed before somebody counts as gone. */
const missedNews = 3;

/** Tells every few seconds that a worker or a watcher is there, and what it is at. */
export class Presence {
  private timer: NodeJS.Timeout | undefined;
  private closed = false;

  /** @param news what it tells, asked for anew each time */
  constructor(
    private readonly redis: Redis,
    private readonly kind: PresentKind,
    private readonly id: string,
    private readonly times: Pick<QueueTimes, 'newsMs'>,
    private readonly news: () => object,
  ) {}

  /** Tells now, and from now on. */
  start(): void {
    void this.tell();
    this.timer = setInterval(() => void this.tell(), this.times.newsMs);
    this.timer.unref();
  }

  /** Tells at once: something has changed. Nothing that goes wrong here is worth more than the next time. */
  async tell(): Promise<void> {
    // A server that is away would be told all of it at once later.
    if (this.closed || this.redis.status !== 'ready') return;
    const key = newsKey(this.kind, this.id);
    const goneMs = missedNews * this.times.newsMs;
    await this.redis
      .multi()
      .set(key, JSON.stringify(this.news()), 'PX', goneMs)
      .sadd(presentKey(this.kind), this.id)
      .exec()
      .catch(() => undefined);
  }

  /** Says that it is gone. */
  async close(): Promise<void> {
    this.closed = true;
    clearInterval(this.timer);
    if (this.redis.status !== 'ready') return;
    await this.redis
      .multi()
      .del(newsKey(this.kind, this.id))
      .srem(presentKey(this.kind), this.id)
      .exec()
      .catch(() => undefined);
  }
}

/** What all workers, or watchers, told last; those that fell silent are forgotten. */
export async function readPresent(redis: Redis, kind: PresentKind): Promise<unknown[]> {
  const ids = await redis.smembers(presentKey(kind));
  if (ids.length === 0) return [];
  const told = await redis.mget(ids.map((id) => newsKey(kind, id)));
  const gone = ids.filter((_id, at) => told[at] === null);
  if (gone.length > 0) await redis.srem(presentKey(kind), ...gone);
  return told.flatMap((text) => (text === null ? [] : [JSON.parse(text)]));
}
