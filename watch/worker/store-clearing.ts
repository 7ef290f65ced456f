import { messageOf } from '../../config/errors.js';
import type { QueueLink } from '../../pipeline/queue/queue-link.js';
import { clearedKey, processName } from '../../pipeline/queue/queue-names.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';

/** How often what no result names any more is cleared from the store. */
const clearedMs = 24 * 3600 * 1000;
/** How often a worker looks whether that is due: the one that did it last may be gone. */
const lookMs = 3600 * 1000;

/**
 * Has a store cleared once a day by one of all workers: looking through a large bucket takes a while, and costs.
 * @param told hears why it could not be cleared
 * @returns the first look, and how to end
 */
export function clearNowAndThen(
  store: Pick<SharedStore, 'address' | 'sweep'>,
  link: QueueLink,
  told: (why: string) => void,
): { readonly first: Promise<void>; end(): void } {
  const look = async () => {
    try {
      await clearOnceADay(store, link);
    } catch (thrown) {
      told(`the store was not cleared: ${messageOf(thrown)}`);
    }
  };
  const timer = setInterval(look, lookMs).unref();
  return { first: look(), end: () => clearInterval(timer) };
}

async function clearOnceADay(
  store: Pick<SharedStore, 'address' | 'sweep'>,
  { redis }: QueueLink,
): Promise<void> {
  const key = clearedKey(store.address);
  if ((await redis.set(key, processName, 'PX', clearedMs, 'NX')) !== 'OK') return;
  try {
    await store.sweep();
  } catch (thrown) {
    // Another may fare better in an hour.
    await redis.del(key);
    throw thrown;
  }
}
