import { PlatehandError } from '../../config/errors.js';
import { visible } from '../../config/visible-text.js';
import type { DeliverOptions } from '../../pipeline/bag/deliver.js';
import type { Job } from '../../pipeline/index.js';
import { queueAddress } from '../../pipeline/queue/queue-address.js';
import type { QueueChoice } from '../daemon/watch-options.js';
import { queueHands } from '../daemon/work-hands.js';
import { cacheFolderOf, type QueueWords, storeOf } from './work-command.js';

/** Who makes pages and packs bundles. */
export type Hands = Pick<DeliverOptions, 'runner' | 'pack' | 'jobs' | 'pixelBudget'>;

/** The queue that a command names, and its store. @throws PlatehandError `wrong-use` where one is named without the other */
export async function queueOf({
  queue,
  store,
  cache,
}: Partial<QueueWords>): Promise<QueueChoice | undefined> {
  if (queue === undefined && store === undefined && cache === undefined) return undefined;
  if (queue === undefined) {
    throw new PlatehandError(
      'wrong-use',
      'A store, or a cache of it, is of use with a queue only',
      'Give --queue redis://host as well, or leave --store and --cache out.',
    );
  }
  const where = storeOf(store);
  return { address: await queueAddress(queue, process.env), store: where, cacheFolder: cacheFolderOf(cache) };
}

/**
 * Does something by the hands of this machine, or, where a queue is named, of whoever takes its work from there.
 * @throws PlatehandError `queue-unreachable`, `queue-refused`, `package-missing`, `store-unreachable`, `wrong-use`; what `work` throws
 */
export async function withHands<T>(
  job: Job,
  options: Partial<QueueWords>,
  work: (hands: Hands) => Promise<T>,
): Promise<T> {
  const choice = await queueOf(options);
  if (choice === undefined) return work({});
  // Not as the folder's daemon: what this gives up, a daemon may still wait for.
  const asker = ['deliver', job.folder];
  const hands = await queueHands(choice, asker, (message) => process.stderr.write(`${visible(message)}\n`));
  const { runner, drawSheet } = hands;
  const runnerHere = {
    takesUnhashed: runner.takesUnhashed,
    run: runner.run.bind(runner),
    drawSheet,
    close: async () => undefined,
  };
  const all = Number.POSITIVE_INFINITY;
  try {
    return await work({ runner: runnerHere, pack: hands.packBag(job.issue), jobs: all, pixelBudget: all });
  } finally {
    await hands.close();
  }
}
