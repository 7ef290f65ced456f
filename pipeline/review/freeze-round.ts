import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { dayIn } from '../../config/calendar-day.js';
import type { Job } from '../../config/job.js';
import { makeFolder, renameHeld, writeWhole } from '../files/atomic.js';
import { writeFailed } from '../files/disk-trouble.js';
import { ownerIsGone, ownerPattern, ownerTag } from '../files/owner.js';
import { whileLocked } from '../issue/make-page.js';
import type { IssueReport, PageReport } from '../issue/report.js';
import { updateReport } from '../issue/report-update.js';
import { type RunOptions, runIssue } from '../issue/run-issue.js';
import { comparePages, statesSinceRound } from '../issue/since-round.js';
import type { PageComparison } from '../rounds/compare-page.js';
import {
  type RoundPage,
  type RoundRecord,
  readRounds,
  recordName,
  roundFormat,
  roundNumbers,
  roundsFolder,
} from '../rounds/round-record.js';
import { withLock } from '../store/lock.js';
import { drawRound, freezeFiles, roundFiles, roundWords } from './round-files.js';

/** What freezing a round may be told. */
export type FreezeOptions = Pick<RunOptions, 'jobs' | 'pixelBudget' | 'onEvent' | 'runner'>;

/** A round that was frozen. */
export interface FrozenRound {
  readonly round: number;
  /** Its folder in the job folder, with forward slashes. */
  readonly folder: string;
  /** Number of the round before; undefined for the first. */
  readonly before: number | undefined;
  /** Its files in the job folder. */
  readonly files: Readonly<Record<keyof typeof roundFiles, string>>;
  /** Bytes of the proofs: what is mailed. */
  readonly proofsBytes: number;
  /** The pages as they were frozen, in reading order. */
  readonly pages: readonly RoundPage[];
  /** How each page stands to the round before; empty for the first. */
  readonly comparisons: readonly PageComparison[];
  /** One line on what it brings: `3 pages changed since round 1, 1 new, 20 unchanged`. */
  readonly summary: string;
  /** The issue as it was frozen. */
  readonly report: IssueReport;
}

/**
 * Makes what is due of an issue, as a run does, then freezes what is there as the next review round: `rounds/1`, `rounds/2`, ... in the
 * job folder, with the proofs of all pages in one PDF, their contact sheet, forms for notes, and the press files by which later versions
 * are compared. Its folder appears when it is whole; a round is never written over.
 * @throws PlatehandError `lock-held` while another round is being frozen, `write-failed`, `round-unreadable`; and what `runIssue` throws
 */
export async function freezeRound(job: Job, options: FreezeOptions = {}): Promise<FrozenRound> {
  const lockPath = join(job.folder, '.platehand', 'round.lock');
  // Who waited for the other would freeze the same pages once more.
  return withLock(lockPath, 'platehand round', 0, async () => {
    const root = join(job.folder, roundsFolder);
    await makeFolder(root);
    await sweep(root);
    const [before] = await readRounds(job.folder, 1);
    const report = await runIssue(job, options);
    const comparisons =
      before === undefined ? [] : await comparePages(job, statesSinceRound(job, before, report.pages));
    const round = Math.max(0, ...(await roundNumbers(job.folder))) + 1;
    const unfinished = join(root, `.${round}.${ownerTag}.part`);
    await makeFolder(unfinished);
    try {
      const { record, proofsBytes } = await fill(job, { report, before, comparisons, round }, unfinished);
      await appear(unfinished, join(root, String(round)));
      await updateReport(job, report);
      const folder = `${roundsFolder}/${round}`;
      const files = Object.entries(roundFiles).map(([name, file]) => [name, `${folder}/${file}`]);
      return {
        ...{ round, folder, before: before?.round, proofsBytes, pages: record.pages, comparisons, report },
        summary: roundWords(record, before?.round),
        files: Object.fromEntries(files) as FrozenRound['files'],
      };
    } finally {
      await rm(unfinished, { recursive: true, force: true }).catch(() => undefined);
    }
  });
}

/** What a round is made from. */
interface RoundPlan {
  readonly report: IssueReport;
  readonly before: RoundRecord | undefined;
  readonly comparisons: readonly PageComparison[];
  readonly round: number;
}

async function fill(job: Job, plan: RoundPlan, folder: string) {
  const { report, before, round } = plan;
  const atMs = Date.now();
  // Under the job's lock: a daemon beside us may forget older results meanwhile.
  const pages = await whileLocked(job.folder, async () => {
    const frozen: RoundPage[] = [];
    for (const page of report.pages) frozen.push(await freezePage(job, page, plan, folder));
    return frozen;
  });
  const frozenAt = new Date(atMs).toISOString();
  const record: RoundRecord = { format: roundFormat, issue: job.issue, round, frozenAt, pages };
  const day = dayIn(job.delivery.timeZone, atMs);
  const proofsBytes = await drawRound({ job, report, record, before: before?.round, day }, folder);
  await writeWhole(join(folder, recordName), Buffer.from(`${JSON.stringify(record, null, 1)}\n`));
  return { record, proofsBytes };
}

async function freezePage(
  job: Job,
  report: PageReport,
  { before, comparisons }: RoundPlan,
  folder: string,
): Promise<RoundPage> {
  const { page, state, used, condition } = report;
  const files = await freezeFiles(job, report, folder);
  const isThere = files.length > 0;
  const compared = comparisons.find((one) => one.page === page);
  return {
    ...{ page, state, files, change: changeOf(before, isThere, compared) },
    used: isThere
      ? used.map(({ version, ...use }) => ({ ...use, ...(version === undefined ? {} : { version }) }))
      : [],
    ...(condition === undefined || !isThere ? {} : { profileSha256: condition.profileSha256 }),
  };
}

function changeOf(
  before: RoundRecord | undefined,
  isThere: boolean,
  compared: PageComparison | undefined,
): RoundPage['change'] {
  if (!isThere) return 'absent';
  if (before === undefined || compared === undefined) return 'new';
  const { verdict } = compared;
  if (verdict === 'new' || verdict === 'unchanged') return verdict;
  return verdict === 'absent' ? 'new' : 'changed';
}

/** The round gets its name: it is whole from here on. @throws PlatehandError `write-failed` */
async function appear(unfinished: string, folder: string): Promise<void> {
  await renameHeld(unfinished, folder).catch((thrown: unknown) => {
    throw writeFailed(folder, thrown);
  });
}

/** Removes rounds that were begun by processes which are gone. */
async function sweep(root: string): Promise<void> {
  const pattern = new RegExp(`^\\.\\d+\\.${ownerPattern}\\.part$`);
  for (const name of await readdir(root)) {
    const match = pattern.exec(name);
    if (match === null || !ownerIsGone(match[1], Number(match[2]))) continue;
    await rm(join(root, name), { recursive: true, force: true });
  }
}
