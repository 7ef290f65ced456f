import { resolve } from 'node:path';
import { watchIssues } from '../daemon/daemon.js';
import { eventJson, eventLine } from '../daemon/watch-event.js';
import { endInTime, endRequest } from './hard-end.js';
import { queueOf } from './through-queue.js';
import type { QueueWords } from './work-command.js';

/** What the command line says about watching; the meaning of each stands in WatchOptions. */
export interface WatchCommandOptions extends Partial<QueueWords> {
  /** Seconds without a change after which a file is whole; default 2. */
  readonly settle?: number;
  /** Seconds from its last change that a file has which cannot be read to its end; default 30. */
  readonly grace?: number;
  /** Seconds between full looks, with or without events; default 60. */
  readonly rescan?: number;
  /** Seconds between looks instead of relying on events; default events. */
  readonly poll?: number;
  /** Pages worked on at the same time, 1 or more; default one a core, as memory allows. */
  readonly jobs?: number;
  /** Path of the program that is run for each event; default none. */
  readonly onEvent?: string;
  /** Logs one JSON object a line; default text. */
  readonly logJson?: true;
}

/** Watches until the process is asked to end (SIGINT, SIGTERM). Pages in hand are finished or dropped. */
export async function watchUntilAsked(
  folders: readonly string[],
  options: WatchCommandOptions,
): Promise<void> {
  const log = options.logJson ? eventJson : eventLine;
  // Whoever read the log is gone; the work goes on.
  process.stdout.on('error', () => undefined);
  const asked = endRequest();
  const daemon = await watchIssues(
    folders.map((folder) => resolve(folder)),
    {
      onEvent: (event) => process.stdout.write(log(event)),
      ...given('settleSeconds', options.settle),
      ...given('graceSeconds', options.grace),
      ...given('rescanSeconds', options.rescan),
      ...given('pollSeconds', options.poll),
      ...given('jobs', options.jobs),
      ...given('onEventProgram', options.onEvent),
      ...given('queue', await queueOf(options)),
    },
  );
  await asked;
  await endInTime(daemon);
}

function given<K extends string, V>(key: K, value: V | undefined): Partial<Record<K, V>> {
  return value === undefined ? {} : ({ [key]: value } as Record<K, V>);
}
