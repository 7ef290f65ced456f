import { createHash, randomBytes } from 'node:crypto';
import { hostname } from 'node:os';
import { engineName } from '../page/page-key.js';

/**
 * What things are called in Redis. All of it begins with one prefix, so that a server may be shared; the library's own keys stand below
 * the name of a queue.
 */
export const keyPrefix = 'platehand';

/** The queue of one version of the engine: a worker of another never sees its pages. */
export function queueName(engine: string): string {
  return `pages-${engine}`;
}

/** Versions of the engine that have put or taken pages, each with the time when it was last seen. */
export const enginesKey = `${keyPrefix}:engines`;

/** Workers, or watchers, that were there lately. */
export function presentKey(kind: PresentKind): string {
  return `${keyPrefix}:${kind}`;
}

/** What one of them tells of itself; gone soon after it fell silent. */
export function newsKey(kind: PresentKind, id: string): string {
  return `${keyPrefix}:${kind}:${id}`;
}

/** Who tells of itself. */
export type PresentKind = 'workers' | 'watchers';

/** Who waits for a page: it is dropped when the last of them does not want it any more. */
export function wantedKey(jobId: string): string {
  return `${keyPrefix}:wanted:${jobId}`;
}

/** Where it is told that nobody wants a page any more that a worker is at. */
export const droppedChannel = `${keyPrefix}:dropped`;

/** Who has cleared a store lately. @param address of the store, as people call it */
export function clearedKey(address: string): string {
  return `${keyPrefix}:cleared:${createHash('sha256').update(address).digest('hex')}`;
}

/** How work on the queue is timed, in milliseconds. */
export interface QueueTimes {
  /**
   * A worker's claim on a page, renewed at half of this; default 30,000. So long, and `stalledMs`, after a worker was killed or lost its
   * network, another begins the page anew.
   */
  readonly lockMs: number;
  /** How often workers look for pages whose worker is gone; default 5,000. */
  readonly stalledMs: number;
  /** How often a watcher asks for pages of which it has heard nothing; default 10,000. */
  readonly askMs: number;
  /** How often workers and watchers tell of themselves; three times as long without news, and they count as gone. Default 5,000. */
  readonly newsMs: number;
  /** The first wait of a worker after trouble with disk, store or network; doubled to `retryMostMs`. Default 1,000. */
  readonly retryMs: number;
  /** Default 60,000. */
  readonly retryMostMs: number;
}

export const usualTimes: QueueTimes = {
  lockMs: 30_000,
  stalledMs: 5_000,
  askMs: 10_000,
  newsMs: 5_000,
  retryMs: 1_000,
  retryMostMs: 60_000,
};

/** This process, as others see it: `studio3-4711-9f2c`. The end tells containers apart that share machine name and number. */
export const processName = `${hostname()}-${process.pid}-${randomBytes(2).toString('hex')}`;

/** The version of this platehand and its engine. */
export const ownEngine = engineName();
