import type { ProductName } from '../model/page-result.js';

/** A page that a worker is at. */
export interface PageInHand {
  readonly issue: string;
  /** Page id in the page list, or one of `sheetNames`. */
  readonly page: string;
  /** None for a page that is only looked at, and for a sheet. */
  readonly products: readonly ProductName[];
  /** ISO time at which it was begun. */
  readonly since: string;
}

/** What a worker tells of itself every few seconds. */
export interface WorkerNews {
  /** Machine and process, such as `studio3-4711`. */
  readonly id: string;
  readonly host: string;
  readonly pid: number;
  /** Version of platehand and of its engine: only pages of the same are taken. */
  readonly engine: string;
  /** ISO time at which it was started. */
  readonly since: string;
  /** Pages at a time, at most. */
  readonly jobs: number;
  /** Pixels in hand, at most and now. */
  readonly pixelBudget: number;
  readonly pixelsInHand: number;
  readonly inHand: readonly PageInHand[];
  /** Pages made, and pages that came to nothing, since it was started; a page counts once for its proof and once for its press files. */
  readonly made: number;
  readonly failed: number;
  /** Why it takes nothing just now, such as a full store; undefined while all is well. */
  readonly trouble?: string;
}

/** A page that came to nothing, as the queue remembers it. */
export interface FailedPage {
  readonly issue: string;
  readonly page: string;
  readonly products: readonly ProductName[];
  /** ISO time. */
  readonly at: string;
  readonly what: string;
  readonly remedy: string;
  /** Which worker told; undefined where its worker was gone. */
  readonly worker: string | undefined;
}

/** What waits and is in hand of one version of the engine. */
export interface EngineQueue {
  readonly engine: string;
  readonly waiting: number;
  readonly inHand: number;
  /** Since the queue was made, by any worker. */
  readonly made: number;
  readonly failed: number;
  readonly madeLastHour: number;
  /** Seconds that the oldest waiting page has waited; undefined where none waits. */
  readonly oldestWaitingSeconds: number | undefined;
}

/** A queue at one moment: all that `platehand workers` shows. */
export interface QueueView {
  /** ISO time. */
  readonly at: string;
  /** The queue as people call it, without its password. */
  readonly queue: string;
  readonly paused: boolean;
  readonly engines: readonly EngineQueue[];
  readonly workers: readonly WorkerNews[];
  /** Daemons that put pages on the queue. */
  readonly watchers: readonly WatcherNews[];
  /** The newest first, at most 100. */
  readonly failures: readonly FailedPage[];
  /** What somebody should look at: a server that keeps nothing over a restart, pages that no worker may take. */
  readonly warnings: readonly string[];
}

/** What a daemon tells of itself every few seconds. */
export interface WatcherNews {
  /** Machine and process. */
  readonly id: string;
  readonly host: string;
  readonly pid: number;
  readonly engine: string;
  readonly since: string;
  /** Pages that it waits for. */
  readonly waitsFor: number;
}

/** What pictures of a whole issue are called where a page has its id; no id has a blank in it. */
export const sheetNames = {
  contactSheet: 'contact sheet',
  colourScript: 'colour script',
  bundle: 'the bundle',
} as const;

/** Whether work on the queue is a picture of a whole issue. */
export function isSheetName(page: string): boolean {
  return Object.values(sheetNames).some((name) => name === page);
}
