import { realpath } from 'node:fs/promises';
import { totalmem } from 'node:os';
import { messageOf } from '../config/errors.js';
import { defaultJobs } from '../pipeline/issue.js';
import { openPagePool } from '../pipeline/work/page-pool.js';
import { EventProgram } from './event-program.js';
import { IssueWatch, type WatchTimes } from './issue-watch.js';
import { pixelsWithin } from './page-cost.js';
import { passedOnKinds, type WatchEvent } from './watch-event.js';
import { WorkQueue } from './work-queue.js';

export interface WatchOptions {
  /** A file is whole when it has not changed for this long, in seconds; default 2. */
  readonly settleSeconds?: number;
  /** A file that cannot be read to its end has this long from its last change, in seconds; default 30. */
  readonly graceSeconds?: number;
  /** A full look comes this often, in seconds, with or without events; default 60. */
  readonly rescanSeconds?: number;
  /** Looks this often instead of relying on events, in seconds: for network shares. Default: events. */
  readonly pollSeconds?: number;
  /** Pages worked on at the same time; default defaultJobs(). */
  readonly jobs?: number;
  /** Pixels in hand at most, over all pages; default what fits into half of the machine's memory. */
  readonly pixelBudget?: number;
  /** Path of a program that is run for each event that people want to hear of. */
  readonly onEventProgram?: string;
  readonly onEvent: (event: WatchEvent) => void;
}

export interface Daemon {
  /** Finishes or drops the pages in hand within `limitMs`, writes down what there is, and frees the folders. */
  close(limitMs?: number): Promise<void>;
}

/** Room that ending has within the five seconds that are promised, for what comes after the pages in hand. */
const closingMs = 3_000;

/** How long the contact sheet waits for the next page. */
const sheetDelayMs = 1_000;

/**
 * Watches job folders until it is closed: takes pages up as they are dropped and keeps their outputs current.
 * @param folders job folders; one that is named twice counts once
 * @throws PlatehandError for a folder that cannot be watched (`job-missing`, `job-invalid`, `lock-held`); then none is
 */
export async function watchIssues(folders: readonly string[], options: WatchOptions): Promise<Daemon> {
  const jobs = options.jobs ?? defaultJobs();
  const runner = openPagePool(jobs);
  const queue = new WorkQueue(jobs, options.pixelBudget ?? pixelsWithin(totalmem() / 2));
  const watches: IssueWatch[] = [];
  const program = eventProgram(options, (message) => {
    const at = new Date().toISOString();
    options.onEvent({ at, kind: 'trouble', issue: '', folder: '', message });
  });
  const onEvent = (event: WatchEvent) => {
    options.onEvent(event);
    if (passedOnKinds.has(event.kind)) program?.send(event);
  };
  const close = async (limitMs = closingMs) => {
    queue.pause();
    const giveUp = AbortSignal.timeout(limitMs);
    await Promise.all([...watches.map((watch) => watch.close(giveUp)), program?.close(limitMs / 2)]);
    await runner.close();
  };
  try {
    for (const folder of await realFolders(folders)) {
      watches.push(await IssueWatch.open(folder, timesOf(options), { queue, runner }, onEvent));
    }
    // The first page to arrive finds a process that has started already.
    runner.warm(1);
  } catch (thrown) {
    await close(0);
    throw thrown;
  }
  return { close };
}

function timesOf(options: WatchOptions): WatchTimes {
  const { settleSeconds = 2, graceSeconds = 30, rescanSeconds = 60, pollSeconds } = options;
  return {
    settleMs: settleSeconds * 1000,
    graceMs: Math.max(graceSeconds, settleSeconds) * 1000,
    rescanMs: rescanSeconds * 1000,
    pollMs: pollSeconds === undefined ? undefined : pollSeconds * 1000,
    sheetDelayMs,
  };
}

/** The same folder under two names, or through a link, is one folder. What is missing is told when it is opened. */
async function realFolders(folders: readonly string[]): Promise<string[]> {
  const real = await Promise.all(folders.map((folder) => realpath(folder).catch(() => folder)));
  return [...new Set(real)];
}

function eventProgram(options: WatchOptions, onFailure: (message: string) => void): EventProgram | undefined {
  if (options.onEventProgram === undefined) return undefined;
  return new EventProgram(options.onEventProgram, {
    onFailure: (message) => onFailure(messageOf(message)),
  });
}
