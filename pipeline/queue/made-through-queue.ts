import { runnerClosed } from '../runner/page-runner.js';
import type { SharedStore } from '../store/shared-store.js';
import { storeForgets } from './job-outcome.js';
import { mostRounds, type PendingPages, type QueuedPage } from './pending-pages.js';

/** What goes through a queue besides pages goes through the same. */
export interface WorkQueue {
  readonly pending: PendingPages;
  readonly store: SharedStore;
  readonly engine: string;
}

/** What is made by whoever takes it from a queue. */
export interface QueuedMaking<T> {
  readonly queued: QueuedPage;
  /** Such as `The sheet was drawn`. */
  readonly what: string;
  /** Puts what it is made from into the store; what is there already costs a question. */
  readonly put: () => Promise<void>;
  /** What the store has of what a worker told; undefined where it has nothing. */
  readonly take: (told: unknown) => Promise<T | undefined>;
}

/**
 * Has something made, and again where the store has lost it, or what it is made from.
 * @param signal stops waiting, and takes it from the queue where nobody else waits for it
 * @throws PlatehandError what it was refused for, `page-process`, `store-unreachable`; the signal's reason
 */
export async function madeThroughQueue<T>(
  { pending, store }: Pick<WorkQueue, 'pending' | 'store'>,
  { queued, what, put, take }: QueuedMaking<T>,
  signal?: AbortSignal,
): Promise<T> {
  for (let round = 1; round <= mostRounds; round++) {
    await put();
    const outcome = await pending.have(queued, signal, () => false);
    if (outcome.kind === 'closed') throw runnerClosed();
    if (outcome.kind === 'fault') throw new Error(`${outcome.message}\n${outcome.trace}`);
    if (outcome.kind === 'refused' && outcome.refusal.code !== 'input-missing') throw outcome.refusal;
    const made = outcome.kind === 'done' ? await take(outcome.told) : undefined;
    if (made !== undefined) return made;
  }
  throw storeForgets(what, store.address);
}
