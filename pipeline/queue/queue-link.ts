import type { Queue, RedisOptions } from 'bullmq';
import type { Redis } from 'ioredis';
import { exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import { type QueueAddress, withoutPassword } from './queue-address.js';
import { keyPrefix, queueName } from './queue-names.js';

/** What a process has of a queue: the libraries, a connection of its own, and how to open more. */
export interface QueueLink {
  readonly address: QueueAddress;
  readonly library: QueueLibrary;
  /** For our own keys; waits for a server that is away. */
  readonly redis: Redis;
  /** For the library's connections, and such as listen: one may not serve two of them. */
  readonly connection: RedisOptions;
  /** The queue of a version of the engine; the caller closes it. */
  openQueue(engine: string): Queue;
  close(): Promise<void>;
}

/** Longest that a server may take to answer the first time, in milliseconds. */
const firstAnswerMs = 5_000;

/** Between tries to reach a server that is away, in milliseconds: the library's own steps would leave workers idle for up to 20 s. */
const triesMs = { step: 100, most: 1_000 } as const;

/**
 * Connects to a queue. Once it has answered, it may be away for as long as it likes: what is asked meanwhile waits.
 * @param onTrouble is told once that it is away, and why, and with undefined that it is back
 * @throws PlatehandError `queue-unreachable`, also for a wrong password; `package-missing`
 */
export async function openQueueLink(
  address: QueueAddress,
  onTrouble: (why: string | undefined) => void = () => undefined,
): Promise<QueueLink> {
  const library = await loadQueueLibrary();
  const connection: RedisOptions = {
    ...address.connection,
    maxRetriesPerRequest: null,
    retryStrategy: (tries) => Math.min(tries * triesMs.step, triesMs.most),
  };
  const redis = new library.Redis({ ...connection, lazyConnect: true });
  await firstAnswer(redis, address);
  let isAway = false;
  redis.on('error', (error) => {
    if (!isAway) onTrouble(withoutPassword(messageOf(error), address.connection));
    isAway = true;
  });
  redis.on('ready', () => {
    if (isAway) onTrouble(undefined);
    isAway = false;
  });
  return {
    address,
    library,
    redis,
    connection,
    openQueue: (engine) => {
      const queue = new library.Queue(queueName(engine), { connection, prefix: keyPrefix });
      // Without a listener it would end the process; what there is to tell, our own connection tells.
      queue.on('error', () => undefined);
      return queue;
    },
    close: async () => {
      redis.disconnect();
    },
  };
}

/** Fails at once where nobody answers, or where we are not let in: that is a mistake in the address, not an outage. */
async function firstAnswer(redis: Redis, address: QueueAddress): Promise<void> {
  let why = 'no answer';
  const note = (error: Error) => {
    why = messageOf(error);
  };
  redis.on('error', note);
  const limit = new Promise<never>((_resolve, reject) => {
    setTimeout(() => reject(new Error(`no answer in ${firstAnswerMs / 1000} s`)), firstAnswerMs).unref();
  });
  try {
    await Promise.race([redis.connect().then(() => redis.ping()), limit]);
  } catch (thrown) {
    // What comes of a connection that is given up is nobody's business any more.
    redis.on('error', () => undefined);
    redis.disconnect();
    const said = why === 'no answer' ? messageOf(thrown) : why;
    throw queueUnreachable(address, withoutPassword(said, address.connection));
  } finally {
    redis.off('error', note);
  }
}

/** The refusal of a queue that does not answer, or does not let us in. */
function queueUnreachable({ shown }: QueueAddress, why: string): PlatehandError {
  const isRefused = /WRONGPASS|NOAUTH|NOPERM/.test(why);
  return new PlatehandError(
    'queue-unreachable',
    isRefused
      ? `The queue ${shown} does not let us in (${why})`
      : `The queue ${shown} cannot be reached (${why})`,
    isRefused
      ? 'Give user and password in the URL, or in PLATEHAND_QUEUE_USER and PLATEHAND_QUEUE_PASSWORD.'
      : unreachableRemedy(shown, why),
    { exitCode: exitCode.wrongUse },
  );
}

function unreachableRemedy(shown: string, why: string): string {
  if (/certificate|altnames/i.test(why))
    return "Name the certificate of whoever signed the server's in PLATEHAND_QUEUE_CA, and the server as its certificate does.";
  const usual = 'Check the address, and that the Redis server runs and lets this machine in';
  // A server that does not speak TLS says nothing to one who does, and the other way round it hangs up.
  return /ECONNRESET/.test(why) || (shown.startsWith('rediss:') && /no answer|disconnected/.test(why))
    ? `${usual}; rediss:// where it is encrypted, redis:// where it is not.`
    : `${usual}.`;
}

/** What of two libraries the queue is made of; they are loaded only where one is asked for. */
export type QueueLibrary = Pick<
  typeof import('bullmq'),
  'Queue' | 'QueueEvents' | 'Worker' | 'WaitingError' | 'DelayedError' | 'UnrecoverableError'
> &
  Pick<typeof import('ioredis'), 'Redis'>;

/** Both by one version: what becomes of pages whose worker is gone was tried with these (pipeline/queue/decision-queue.md). */
const packages = ['bullmq@6.7.0', 'ioredis@5.11.1'] as const;

/** @throws PlatehandError `package-missing` with what to type */
async function loadQueueLibrary(): Promise<QueueLibrary> {
  try {
    const [bullmq, ioredis] = await Promise.all([import('bullmq'), import('ioredis')]);
    const { Queue, QueueEvents, Worker, WaitingError, DelayedError, UnrecoverableError } = bullmq;
    return {
      Queue,
      QueueEvents,
      Worker,
      WaitingError,
      DelayedError,
      UnrecoverableError,
      Redis: ioredis.Redis,
    };
  } catch (thrown) {
    if ((thrown as NodeJS.ErrnoException).code !== 'ERR_MODULE_NOT_FOUND') throw thrown;
    throw new PlatehandError(
      'package-missing',
      'A queue needs two packages that are not installed',
      `Install them beside platehand: npm install ${packages.join(' ')}`,
      { cause: thrown },
    );
  }
}
