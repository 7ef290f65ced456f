import type { Job } from '../../config/job.js';
import { type IssueStatus, readStatus } from '../../pipeline/index.js';
import { livingHolder } from '../../pipeline/store/lock.js';
import { watchLockPath } from '../daemon/folder-lock.js';
import { isPausedByHand } from '../daemon/pause-file.js';
import { localTime } from '../daemon/watch-event.js';

/** Where an issue stands, and whether a daemon takes care of it. */
export interface WatchedStatus extends IssueStatus {
  /** The daemon that has the folder; undefined when there is none. */
  readonly daemon: { readonly pid: number; readonly host: string; readonly since: string } | undefined;
  /** Whether it was told to begin no more pages. */
  readonly paused: boolean;
}

/** Looks at a job folder; writes nothing and works on no page. */
export async function readWatchStatus(job: Job): Promise<WatchedStatus> {
  const [status, holder, paused] = await Promise.all([
    readStatus(job),
    livingHolder(watchLockPath(job.folder)),
    isPausedByHand(job.folder),
  ]);
  const daemon =
    holder === undefined ? undefined : { pid: holder.pid, host: holder.host, since: holder.since };
  return { ...status, daemon, paused };
}

/** One line on the daemon, to stand below the issue's status. */
export function daemonText({ daemon, paused }: Pick<WatchedStatus, 'daemon' | 'paused'>): string {
  const rest = paused ? '; it is paused (platehand resume)' : '';
  if (daemon === undefined) return `No daemon watches this folder${rest}.`;
  const { pid, host, since } = daemon;
  return `Watched by process ${pid} on ${host} since ${localTime(new Date(since))}${rest}.`;
}
