import type { PlatehandError } from '../../config/errors.js';
import { counted, sentence } from '../../config/figures.js';
import type { Job } from '../../config/job.js';
import { pagesWords } from '../../pipeline/bag/page-content.js';
import { type IssueReport, type IssueStatus, type PageReport, readStatus } from '../../pipeline/index.js';
import { whyWithStanding } from '../../pipeline/issue/report.js';
import { livingHolder } from '../../pipeline/store/lock.js';
import { isPausedByHand, watchLockPath } from '../daemon/folder-marks.js';
import { readLedger } from '../daemon/ledger.js';
import { localTime } from '../daemon/watch-event.js';
import { notesLines } from './notes-text.js';
import { type Pace, paceOf } from './pace.js';
import { leftOutLines, type Paint, stateColour } from './report-text.js';

/** Where an issue stands, and whether a daemon takes care of it. */
export interface WatchedStatus extends IssueStatus {
  /** The daemon that has the folder; undefined when there is none. */
  readonly daemon: { readonly pid: number; readonly host: string; readonly since: string } | undefined;
  /** Whether it was told to begin no more pages. */
  readonly paused: boolean;
  /** How quickly pages get done; undefined where none was finished within a week. */
  readonly pace: Pace | undefined;
}

/** Looks at a job folder; writes nothing and works on no page. */
export async function readWatchStatus(job: Job): Promise<WatchedStatus> {
  const [status, holder, paused, { records }] = await Promise.all([
    readStatus(job),
    livingHolder(watchLockPath(job.folder)),
    isPausedByHand(job.folder),
    readLedger(job.folder),
  ]);
  const dueMs = job.due === undefined ? undefined : Date.parse(job.due);
  const pace = paceOf(records, status.report.pages, dueMs, Date.now());
  const daemon =
    holder === undefined ? undefined : { pid: holder.pid, host: holder.host, since: holder.since };
  return { ...status, daemon, paused, pace };
}

/** What stands above the board while job.yaml itself cannot be followed. */
export function brokenJobText({ message }: PlatehandError): string {
  return `${message}\nThe board below is by the last job.yaml that could be followed.\n`;
}

/** One line on the daemon, to stand below the issue's status. */
export function daemonText({ daemon, paused }: Pick<WatchedStatus, 'daemon' | 'paused'>): string {
  const rest = paused ? '; it is paused (platehand resume)' : '';
  if (daemon === undefined) return `No daemon watches this folder${rest}.`;
  const { pid, host, since } = daemon;
  return `Watched by process ${pid} on ${host} since ${localTime(new Date(since))}${rest}.`;
}

/** Where the issue stands: the page board and what blocks the delivery. */
export function statusText(status: IssueStatus & Pick<WatchedStatus, 'pace'>, paint: Paint): string {
  const { report } = status;
  const total = report.pages.length;
  const lines = [
    `${report.issue}: ${report.title}${report.number === undefined ? '' : `, number ${report.number}`}`,
    dueText(status, paint),
    `Flats for ${status.flatted} of ${total} pages, colour for ${status.coloured}, made for print ${report.counts.done + report.counts.attention}.`,
    ...leadLines(status),
    ...(status.pace === undefined && status.blocking.length === 0 ? [] : [paceText(status.pace)]),
    '',
    ...statusLines(report, paint),
    ...leftOutLines(report, paint),
    ...notesLines(status, paint),
    '',
    status.blocking.length === 0
      ? paint('green', 'Nothing blocks the delivery.')
      : `Delivery is blocked by ${pagesWords(status.blocking.map(({ page }) => page))}.`,
  ];
  return lines.join('\n');
}

/** How many pages lie flatted and wait for their colour; an issue without flats has nothing to say of it. */
function leadLines({ flatted, flatsAhead }: IssueStatus): string[] {
  if (flatted === 0) return [];
  if (flatsAhead === 0) return ['Every page that has flats has its colour too.'];
  return [`Flats are ${counted(flatsAhead, 'page')} ahead of the colour.`];
}

/** How quickly pages get done, and when the last one will be. */
export function paceText(pace: Pace | undefined): string {
  if (pace === undefined) return 'No pace yet: the ledger knows of no page that was finished within a week.';
  const { finished, days, pagesADay, left, lastDoneAt, hoursToSpare } = pace;
  const span = days === 1 ? 'the last day' : `the last ${days.toFixed(1)} days`;
  const done = `Pace: ${counted(finished, 'page')} finished in ${span}, ${pagesADay.toFixed(1)} a day`;
  if (lastDoneAt === undefined) return `${done}; none is left.`;
  const then = `${done}; at this pace the last of ${counted(left, 'page')} is done ${localTime(new Date(lastDoneAt)).slice(0, 16).replace('T', ' ')}`;
  if (hoursToSpare === undefined) return `${then}.`;
  const words = spanOf(Math.abs(hoursToSpare));
  return hoursToSpare < 0 ? `${then}, ${words} too late.` : `${then}, ${words} before it is due.`;
}

function spanOf(hours: number): string {
  return hours >= 72 ? `${Math.round(hours / 24)} days` : `${hours.toFixed(1)} hours`;
}

/** The page board with the parts that have arrived, each with its version. */
function statusLines(report: IssueReport, paint: Paint): string[] {
  const parts = report.pages.map(({ files }) => partsText(files));
  const idWidth = Math.max(4, ...report.pages.map(({ page }) => page.length));
  const partsWidth = Math.max(...parts.map(({ length }) => length), 1);
  return report.pages.map((page, index) => {
    const state = paint(stateColour[page.state], page.state.padEnd(9));
    const note = page.state === 'done' ? '' : sentence(whyWithStanding(page));
    return `  ${page.page.padEnd(idWidth)}  ${state}  ${parts[index].padEnd(partsWidth)}  ${note}`.trimEnd();
  });
}

function partsText(files: PageReport['files']): string {
  const words = files.map(({ part, version }) => (version === undefined ? part : `${part} v${version}`));
  return words.length === 0 ? '-' : words.join(', ');
}

function dueText({ hoursToDue, report }: IssueStatus, paint: Paint): string {
  if (hoursToDue === undefined) return 'job.yaml states no due time.';
  const words = spanOf(Math.abs(hoursToDue));
  return hoursToDue < 0
    ? paint('red', `Was due ${report.due}, ${words} ago.`)
    : `Due ${report.due}, in ${words}.`;
}
