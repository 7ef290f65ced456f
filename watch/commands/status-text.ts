import type { Job } from '../../config/job.js';
import { type IssueReport, type IssueStatus, type PageReport, readStatus } from '../../pipeline/index.js';
import { livingHolder } from '../../pipeline/store/lock.js';
import { isPausedByHand, watchLockPath } from '../daemon/folder-marks.js';
import { localTime } from '../daemon/watch-event.js';
import { leftOutLines, type Paint, sentence, stateColour } from './report-text.js';

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

/** Where the issue stands: the page board and what blocks the delivery. */
export function statusText(status: IssueStatus, paint: Paint): string {
  const { report } = status;
  const total = report.pages.length;
  const lines = [
    `${report.issue}: ${report.title}${report.number === undefined ? '' : `, number ${report.number}`}`,
    dueText(status, paint),
    `Flats for ${status.flatted} of ${total} pages, colour for ${status.coloured}, ready for print ${report.counts.done + report.counts.attention}.`,
    leadText(status),
    '',
    ...statusLines(report, paint),
    ...leftOutLines(report, paint),
    '',
    status.blocking.length === 0
      ? paint('green', 'Nothing blocks the delivery.')
      : `Delivery is blocked by ${status.blocking.length === 1 ? 'page' : 'pages'} ${status.blocking.map(({ page }) => page).join(', ')}.`,
  ];
  return lines.join('\n');
}

/** How far the flatting and the colour are apart. */
function leadText({ flatted, coloured }: IssueStatus): string {
  const lead = flatted - coloured;
  if (lead === 0) return 'Flatting and colour are level.';
  return `Flatting is ${lead} ${lead === 1 ? 'page' : 'pages'} ahead of the colour.`;
}

/** The page board with the parts that have arrived, each with its version. */
function statusLines(report: IssueReport, paint: Paint): string[] {
  const parts = report.pages.map(({ files }) => partsText(files));
  const idWidth = Math.max(4, ...report.pages.map(({ page }) => page.length));
  const partsWidth = Math.max(...parts.map(({ length }) => length), 1);
  return report.pages.map((page, index) => {
    const state = paint(stateColour[page.state], page.state.padEnd(9));
    const note = page.state === 'done' ? '' : sentence(page.why);
    return `  ${page.page.padEnd(idWidth)}  ${state}  ${parts[index].padEnd(partsWidth)}  ${note}`.trimEnd();
  });
}

function partsText(files: PageReport['files']): string {
  const words = files.map(({ part, version }) => (version === undefined ? part : `${part} v${version}`));
  return words.length === 0 ? '-' : words.join(', ');
}

function dueText({ hoursToDue, report }: IssueStatus, paint: Paint): string {
  if (hoursToDue === undefined) return 'job.yaml states no due time.';
  const hours = Math.abs(hoursToDue);
  const words = hours >= 72 ? `${Math.round(hours / 24)} days` : `${hours.toFixed(1)} hours`;
  return hoursToDue < 0
    ? paint('red', `Was due ${report.due}, ${words} ago.`)
    : `Due ${report.due}, in ${words}.`;
}
