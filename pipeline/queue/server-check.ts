import type { Redis } from 'ioredis';
import { PlatehandError } from '../../config/errors.js';
import type { QueueLink } from './queue-link.js';

/**
 * Looks at how a server is set up: one that throws keys away when its memory is full would lose pages, and is refused; one that keeps
 * nothing over its own end is told of, since the pages on it are put there anew only while their daemon runs.
 * @returns what somebody should look at
 * @throws PlatehandError `queue-refused`
 */
export async function checkServer({ redis, address }: QueueLink): Promise<readonly string[]> {
  const [policy, appendOnly, save] = await Promise.all(
    ['maxmemory-policy', 'appendonly', 'save'].map((name) => configOf(redis, name)),
  );
  if (policy !== undefined && policy !== 'noeviction') {
    throw new PlatehandError(
      'queue-refused',
      `The Redis server ${address.shown} drops keys when its memory is full (maxmemory-policy ${policy}): pages would be lost`,
      'Set maxmemory-policy to noeviction, in redis.conf or by CONFIG SET.',
    );
  }
  if (appendOnly === undefined) {
    return [
      'The Redis server does not tell its settings: check appendonly yes and maxmemory-policy noeviction there',
    ];
  }
  if (appendOnly === 'yes') return [];
  const keeps =
    save === '' || save === undefined
      ? 'keeps nothing over its own end: after one, daemons put their pages on it anew, and what they do not wait for any more is lost'
      : 'keeps what it holds only now and then: after its end, daemons put what is missing on it anew';
  return [`The Redis server ${keeps}; set appendonly yes`];
}

/** A setting of the server; undefined where it does not tell. */
async function configOf(redis: Redis, name: string): Promise<string | undefined> {
  try {
    const answer = (await redis.config('GET', name)) as readonly string[];
    return answer[1];
  } catch {
    return undefined;
  }
}
