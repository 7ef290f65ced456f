import type { QueueAddress } from '../../pipeline/queue/queue-address.js';
import type { DrawSheet, PageRunner } from '../../pipeline/runner/page-runner.js';
import type { Scheduler } from '../../pipeline/runner/scheduler.js';
import type { SettlingTimes } from './settling.js';
import type { WatchEvent } from './watch-event.js';

/** How often folders are looked at and how long files are given, as people set it, in seconds. */
export interface TimeOptions {
  /** A file is whole when it has not changed for this long; default 2. */
  readonly settleSeconds?: number;
  /** A file that cannot be read to its end has this long from its last change; default 30, at least settleSeconds. */
  readonly graceSeconds?: number;
  /** A full look comes this often, with or without events; default 60. */
  readonly rescanSeconds?: number;
  /** Looks this often instead of relying on events: for network shares. Default: events. */
  readonly pollSeconds?: number;
}

/** What a daemon is asked to do. */
export interface WatchOptions extends TimeOptions {
  /** Pages worked on at the same time, over all folders, 1 or more; default defaultJobs(). */
  readonly jobs?: number;
  /** Pixels in hand at most, over all pages; default defaultPixelBudget(), what fits into half of the machine's memory. */
  readonly pixelBudget?: number;
  /** Puts pages on a queue instead, where workers take them; `jobs` and `pixelBudget` say nothing then. Default: processes of its own. */
  readonly queue?: QueueChoice;
  /** Path of a program that is run for each event that people want to hear of; default none. */
  readonly onEventProgram?: string;
  /** Is told of everything that happens. */
  readonly onEvent: (event: WatchEvent) => void;
}

/** Which queue, and where its workers find files. */
export interface QueueChoice {
  readonly address: QueueAddress;
  /** Folder, or `s3://bucket/prefix`, that every machine reaches. */
  readonly store: string;
  /** Folder for what has been fetched from there. */
  readonly cacheFolder: string;
}

/** What all folders under watch share. */
export interface WatchContext {
  /** The order of the work, over all folders. */
  readonly scheduler: Scheduler;
  /** Who does it. */
  readonly runner: PageRunner;
  /** Whether pages are begun while their files settle. */
  readonly worksAhead: boolean;
  /** Draws contact sheets and colour scripts, here or elsewhere. */
  readonly drawSheet: DrawSheet;
  readonly times: WatchTimes;
  readonly onEvent: (event: WatchEvent) => void;
}

/** How often a folder is looked at and how long its files are given, in milliseconds. */
export interface WatchTimes extends SettlingTimes {
  /** A full look comes this often, whether or not there were events. */
  readonly rescanMs: number;
  /** Looks instead of events, this far apart; undefined relies on events between full looks. */
  readonly pollMs: number | undefined;
  /** The contact sheet is drawn anew this long after the last page. */
  readonly sheetDelayMs: number;
}

/** How long the contact sheet waits for the next page. */
const sheetDelayMs = 1_000;

/** The times of a watch, from what people set. */
export function timesOf(options: TimeOptions): WatchTimes {
  const { settleSeconds = 2, graceSeconds = 30, rescanSeconds = 60, pollSeconds } = options;
  return {
    settleMs: settleSeconds * 1000,
    graceMs: Math.max(graceSeconds, settleSeconds) * 1000,
    rescanMs: rescanSeconds * 1000,
    pollMs: pollSeconds === undefined ? undefined : pollSeconds * 1000,
    sheetDelayMs,
  };
}
