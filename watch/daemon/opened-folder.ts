import { FolderLock } from './folder-marks.js';
import { IssueBoard } from './issue-board.js';
import { IssueJournal, type IssueMemory, recall } from './issue-journal.js';
import { JobFile } from './job-file.js';
import { keepJob } from './last-job.js';
import { findLeftovers, removeLeftovers } from './leftovers.js';
import { overMessage } from './retry.js';
import type { WatchContext } from './watch-options.js';

/** What is opened of a job folder before it is watched. */
export interface OpenedFolder {
  readonly folder: string;
  readonly jobFile: JobFile;
  readonly lock: FolderLock;
  readonly board: IssueBoard;
  readonly journal: IssueJournal;
  readonly memory: IssueMemory;
}

/** An edit of job.yaml counts this soon at the latest, in milliseconds. */
const longestJobSettleMs = 500;

/**
 * Takes a job folder for this daemon, clears away what an earlier one left unfinished, and tells that it is watched.
 * @param waitedFor trouble that had kept it from being watched and is over now
 * @throws PlatehandError `lock-held` when another daemon has it; what loadJob throws for a job.yaml that cannot be followed
 */
export async function openFolder(
  folder: string,
  { times, onEvent }: Pick<WatchContext, 'times' | 'onEvent'>,
  waitedFor?: string,
): Promise<OpenedFolder> {
  const jobFile = await JobFile.open(folder, Math.min(times.settleMs, longestJobSettleMs));
  const lock = await FolderLock.take(folder);
  try {
    const board = await IssueBoard.open(jobFile.job, times);
    const memory = await recall(folder);
    const journal = new IssueJournal(folder, () => board.job.issue, onEvent);
    await removeLeftovers(await findLeftovers(folder));
    await keepJob(folder);
    if (waitedFor !== undefined) journal.tell('trouble-over', { message: overMessage(waitedFor) });
    journal.tell('started', { message: `watching ${folder}` });
    for (const { line, what } of memory.damage) {
      journal.tell('ledger-damaged', {
        message: `line ${line} of the ledger: ${what}; it is left as it is`,
      });
    }
    return { folder, jobFile, lock, board, journal, memory };
  } catch (thrown) {
    await lock.release();
    throw thrown;
  }
}
