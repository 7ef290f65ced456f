import type { Redis } from 'ioredis';
import { keyPrefix } from './queue-names.js';

/**
 * How many pages were made, by all workers together: in all, and by the minute for an hour. Minutes are the server's own, since the clocks of
 * machines may be apart.
 */

/** What is counted. */
export type Counted = 'made' | 'failed';

const minutesAnHour = 60;
const secondsAMinute = 60;

/** A minute's count is wanted for an hour; a little longer, so that none goes while it is added up. */
const keptSeconds = (minutesAnHour + 5) * secondsAMinute;

/** Counts one page. */
export async function countPage(redis: Redis, engine: string, what: Counted): Promise<void> {
  const counting = redis.multi().hincrby(totalsKey(engine), what, 1);
  if (what === 'made') {
    const key = minuteKey(engine, await serverMinute(redis));
    counting.incr(key).expire(key, keptSeconds);
  }
  await counting.exec();
}

/** Pages since the queue was made, and those made within the last 60 minutes. */
export async function readCounts(
  redis: Redis,
  engine: string,
): Promise<{ readonly made: number; readonly failed: number; readonly madeLastHour: number }> {
  const now = await serverMinute(redis);
  const keys = Array.from({ length: minutesAnHour }, (_, ago) => minuteKey(engine, now - ago));
  const [totals, minutes] = await Promise.all([redis.hgetall(totalsKey(engine)), redis.mget(keys)]);
  return {
    made: Number(totals.made ?? 0),
    failed: Number(totals.failed ?? 0),
    madeLastHour: minutes.reduce((sum, count) => sum + Number(count ?? 0), 0),
  };
}

async function serverMinute(redis: Redis): Promise<number> {
  const [seconds] = await redis.time();
  return Math.floor(Number(seconds) / secondsAMinute);
}

function totalsKey(engine: string): string {
  return `${keyPrefix}:counts:${engine}`;
}

function minuteKey(engine: string, minute: number): string {
  return `${keyPrefix}:counts:${engine}:${minute}`;
}
