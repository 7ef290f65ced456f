import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import type { IssueReport } from '../issue/report.js';
import { updateReport } from '../issue/report-update.js';
import { type RunOptions, runIssue } from '../issue/run-issue.js';
import { comparePages, type StatesOfPage, statesSinceRound } from '../issue/since-round.js';
import type { PageComparison } from '../rounds/compare-page.js';
import { readRounds } from '../rounds/round-record.js';
import { type ComparedWith, drawComparisons } from './comparison-files.js';
import { deliveryNamed, statesSinceDelivery } from './since-delivery.js';

/** What comparing an issue may be told. */
export interface CompareIssueOptions
  extends Pick<RunOptions, 'pages' | 'jobs' | 'pixelBudget' | 'onEvent' | 'runner'> {
  /** Number of the round to compare with; default the last. */
  readonly round?: number;
  /** Number of the delivery to compare with, in place of a round; default none. */
  readonly delivery?: number;
  /** Whether to draw a picture of each page that changed. Default yes. */
  readonly pictures?: boolean;
}

/** A page compared, with its pictures. */
export interface ComparedPage extends PageComparison {
  /** Pictures of the change in the job folder, with forward slashes; none for a page that has not changed. */
  readonly files: readonly string[];
}

/** What became of the pages of an issue. */
export interface IssueComparison {
  readonly since: ComparedWith;
  /** In reading order, then pages that the list no longer has. */
  readonly pages: readonly ComparedPage[];
  /** How many of them hold the same picture. */
  readonly unchanged: number;
  readonly report: IssueReport;
}

/**
 * Makes what is due of an issue, as a run does, then holds every page against what a review round has frozen or a delivery holds. Equal
 * pixels are unchanged, whatever file they came in; of what changed, colour is told apart from line, with places and figures, and drawn
 * before beside after.
 * @throws PlatehandError `wrong-use` where there is no such round or delivery, `round-unreadable`, `write-failed`; and what `runIssue` throws
 */
export async function compareIssue(job: Job, options: CompareIssueOptions = {}): Promise<IssueComparison> {
  const { round, delivery, pictures = true, ...run } = options;
  const base = delivery === undefined ? await roundBase(job, round) : await deliveryBase(job, delivery);
  const report = await runIssue(job, run);
  const states = (await base.states(report)).filter(({ id }) => run.pages?.includes(id) ?? true);
  const compared = await comparePages(job, states);
  // What was measured just now stands in the report as well.
  await updateReport(job, report);
  const isWhole = run.pages === undefined;
  const files = pictures ? await drawComparisons(job, base.since, states, compared, isWhole) : new Map();
  const pages = compared.map((page) => ({ ...page, files: files.get(page.page) ?? [] }));
  const unchanged = pages.filter(({ verdict }) => verdict === 'unchanged').length;
  return { since: base.since, pages, unchanged, report };
}

/** Where the states before come from. */
interface Base {
  readonly since: ComparedWith;
  states(report: IssueReport): Promise<readonly StatesOfPage[]>;
}

async function roundBase(job: Job, wanted: number | undefined): Promise<Base> {
  const rounds = await readRounds(job.folder);
  const round = wanted === undefined ? rounds.at(-1) : rounds.find((one) => one.round === wanted);
  if (round === undefined)
    throw noSuchRound(
      wanted,
      rounds.map((one) => one.round),
    );
  const since = { kind: 'round', number: round.round, name: `round ${round.round}` } as const;
  return { since, states: async (report) => statesSinceRound(job, round, report.pages) };
}

async function deliveryBase(job: Job, number: number): Promise<Base> {
  const { name, deliveries } = await deliveryNamed(job, number);
  const since = { kind: 'delivery', number, name: `delivery ${name}` } as const;
  return { since, states: (report) => statesSinceDelivery(job, deliveries, report.pages) };
}

function noSuchRound(wanted: number | undefined, there: readonly number[]): PlatehandError {
  const what = wanted === undefined ? 'No round has been frozen yet' : `There is no round ${wanted}`;
  const remedy =
    there.length === 0
      ? 'Freeze one first: platehand round. Or compare with a delivery: --delivery 1.'
      : `Choose one of ${there.join(', ')}.`;
  return new PlatehandError('wrong-use', what, remedy);
}
