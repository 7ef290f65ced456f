import { realpath } from 'node:fs/promises';
import { messageOf } from '../../config/errors.js';
import { EventProgram } from './event-program.js';
import { IssueWatch } from './issue-watch.js';
import { openFolder } from './opened-folder.js';
import { startWithRetry, type Watched } from './retry-start.js';
import { passedOnKinds, type WatchEvent } from './watch-event.js';
import { timesOf, type WatchOptions } from './watch-options.js';
import { ownHands, queueHands } from './work-hands.js';

/** A daemon at work. */
export interface Daemon {
  /** Finishes or drops the pages in hand within `limitMs`, writes down what there is, and frees the folders. */
  close(limitMs?: number): Promise<void>;
}

/**
 * Watches job folders until it is closed: takes pages up as they are dropped and keeps their outputs current. A folder
 * whose disk does not let it be watched yet is waited for.
 * @param folders job folders; one that is named twice counts once
 * @throws PlatehandError for a folder that cannot be watched (`job-missing`, `job-invalid`, `lock-held`), and for a queue or store that cannot be
 *   used; then none is
 */
export async function watchIssues(folders: readonly string[], options: WatchOptions): Promise<Daemon> {
  const watches: Watched[] = [];
  const tellTrouble = (folder: string, message: string) =>
    options.onEvent({ at: new Date().toISOString(), kind: 'trouble', issue: '', folder, message });
  const real = await realFolders(folders);
  const hands =
    options.queue === undefined
      ? ownHands(options)
      : await queueHands(options.queue, real, (message) => tellTrouble('', message));
  const program = eventProgram(options, (message) => tellTrouble('', message));
  const onEvent = (event: WatchEvent) => {
    options.onEvent(event);
    if (passedOnKinds.has(event.kind)) program?.send(event);
  };
  const { scheduler, runner, worksAhead, drawSheet, sheetDelayMs } = hands;
  const times = { ...timesOf(options), ...(sheetDelayMs === undefined ? {} : { sheetDelayMs }) };
  const context = { scheduler, runner, worksAhead, drawSheet, times, onEvent };
  const close = async (limitMs = hands.closingMs) => {
    hands.leaveWork();
    scheduler.pause();
    const giveUp = AbortSignal.timeout(limitMs);
    await Promise.all([...watches.map((watch) => watch.close(giveUp)), program?.close(limitMs / 2)]);
    await hands.close();
  };
  try {
    for (const folder of real) {
      const begin = async (waitedFor?: string) =>
        new IssueWatch(await openFolder(folder, context, waitedFor), context);
      watches.push(await startWithRetry(begin, (message) => tellTrouble(folder, message)));
    }
    // The first page to arrive finds a process that has started already.
    hands.warm();
  } catch (thrown) {
    await close(0);
    throw thrown;
  }
  return { close };
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
