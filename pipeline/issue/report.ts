import { type ExitCode, exitCode } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { type Finding, type Severity, worstFirst, worstOf } from '../model/findings.js';
import { type EditorsSay, madeOf, whatEditorsSay } from '../model/page-notes.js';
import {
  type OutputFile,
  type PageMeasures,
  type PageResult,
  productNames,
  type UsedFile,
} from '../model/page-result.js';
import type { MatchedFile, PageMatch, Reconciliation } from '../model/reconciliation.js';
import { findingsWithOwners } from './line-owners.js';
import { filesNow, type PageRun } from './page-run.js';
import { findingsBeside } from './sameness.js';

/**
 * States of a page, in the order in which they are counted: `done` is made, `attention` too but somebody should look, `stopped` must be
 * put right; `ready` has all its files, and not all of it is made; `waiting` lacks a part; of `missing` nothing has arrived;
 * `contested` has two files for one place; `held` is held back by job.yaml.
 */
export const pageStates = [
  'done',
  'attention',
  'stopped',
  'ready',
  'waiting',
  'missing',
  'contested',
  'held',
] as const;

/** One of `pageStates`. */
export type PageReportState = (typeof pageStates)[number];

/** Where one page of the page list stands. */
export interface PageReport extends EditorsSay {
  readonly page: string;
  readonly kind: string;
  readonly scene: string | undefined;
  /** Key of its result; empty when there is none. */
  readonly key: string;
  /** Press condition and ink limit that the result was made for. */
  readonly condition: PageResult['condition'] | undefined;
  readonly state: PageReportState;
  /** One sentence: why it is in this state. */
  readonly why: string;
  readonly files: readonly MatchedFile[];
  readonly missing: PageMatch['missing'];
  readonly findings: readonly Finding[];
  readonly measures: PageMeasures | undefined;
  readonly used: readonly UsedFile[];
  readonly outputs: readonly OutputFile[];
  /** The good result before, whose press files stand until this page can be made; undefined where there is none. */
  readonly standsMeanwhile: StandingResult | undefined;
}

/** An earlier result that still stands in press/ and plates/. */
export interface StandingResult {
  readonly key: string;
  readonly used: readonly UsedFile[];
}

/** What a run found and made: plain data, the same for the command line, for programs and for the delivery. */
export interface IssueReport {
  readonly issue: string;
  readonly title: string;
  readonly number: number | undefined;
  readonly due: string | undefined;
  readonly pages: readonly PageReport[];
  readonly counts: Readonly<Record<PageReportState, number>>;
  readonly contested: Reconciliation['contested'];
  readonly unknown: Reconciliation['unknown'];
  readonly superseded: Reconciliation['superseded'];
  readonly passedOver: Reconciliation['passedOver'];
  readonly unusedAssignments: Reconciliation['unusedAssignments'];
  /** Ids of the pages that were worked on in this run; the others were unchanged or not ready. */
  readonly workedOn: readonly string[];
  /** Path of the contact sheet in the job folder; undefined when only looking. */
  readonly contactSheet: string | undefined;
  /** Path of report.html in the job folder; undefined when only looking. */
  readonly reportFile: string | undefined;
  /** The PDFs of many pages: one, or one of each press condition; none when only looking or where the job wants none. */
  readonly issuePdfs: readonly IssuePdfReport[];
}

/** A PDF of many pages. */
export interface IssuePdfReport {
  /** In the job folder and in a bundle. */
  readonly path: string;
  /** Ids of its pages, in reading order. */
  readonly pages: readonly string[];
}

/** What is known of an issue before anything is made of it as a whole. */
export type PagesReport = Omit<IssueReport, 'contactSheet' | 'reportFile' | 'issuePdfs'>;

/** Puts a run into words and numbers. */
export function reportOf(
  job: Job,
  reconciliation: Reconciliation,
  runs: readonly PageRun[],
  workedOn: readonly string[],
): PagesReport {
  const owners = findingsWithOwners(runs);
  const besides = findingsBeside(runs, job);
  const pages = runs.map((run) => reportPage(run, owners.get(run.page.id), besides(run)));
  const counts = countsOf(pages);
  const { contested, unknown, superseded, passedOver, unusedAssignments } = reconciliation;
  const { issue, title, number, due } = job;
  const outcome = { contested, unknown, superseded, passedOver, unusedAssignments };
  return { issue, title, number, due, pages, counts, ...outcome, workedOn };
}

function countsOf(pages: readonly PageReport[]): Record<PageReportState, number> {
  const countOf = (state: PageReportState) => pages.filter((page) => page.state === state).length;
  return Object.fromEntries(pageStates.map((state) => [state, countOf(state)])) as Record<
    PageReportState,
    number
  >;
}

/**
 * @param named its findings where the other pages of the issue say more about them
 * @param besides findings about its new versions and beside other pages, which are no part of its result
 */
function reportPage(
  run: PageRun,
  named: readonly Finding[] | undefined,
  besides: readonly Finding[],
): PageReport {
  const { page, match } = run;
  const result = run.inspected ?? run.stored?.result;
  const found = [...(named ?? result?.findings ?? []), ...besides];
  const findings = run.failure === undefined ? found : [run.failure];
  const { state, why } = stateOf(run, findings, result);
  return {
    page: page.id,
    kind: page.kind,
    scene: page.scene,
    key: result?.key ?? '',
    condition: result?.condition,
    state,
    why,
    files: match.files,
    missing: match.missing,
    findings,
    measures: run.failure === undefined ? result?.measures : undefined,
    used: result?.used ?? [],
    outputs: run.failure === undefined ? (result?.outputs ?? []) : [],
    standsMeanwhile: standingOf(run, state),
    ...whatEditorsSay(run.notes, madeOf(filesNow(run))),
  };
}

function standingOf({ lastGood, match }: PageRun, state: PageReportState): StandingResult | undefined {
  if (lastGood === undefined || isDeliverable(state)) return undefined;
  if (match.state === 'missing' || match.state === 'held') return undefined;
  const { key, used } = lastGood.result;
  return { key, used };
}

/** Names what stands of a page meanwhile, such as `colour v4 and line v1`; an empty text where nothing does. */
function standingWords({ standsMeanwhile }: Pick<PageReport, 'standsMeanwhile'>): string {
  if (standsMeanwhile === undefined) return '';
  return `the version before stands meanwhile: ${usedWords(standsMeanwhile.used)}`;
}

/** Files with their versions: `colour v3, line v2`; one without a version by its name. */
export function usedWords(
  used: readonly { readonly name: string; readonly part: string; readonly version?: number | undefined }[],
): string {
  return used
    .map(({ part, version, name }) => (version === undefined ? name : `${part} v${version}`))
    .join(', ');
}

/** Why a page is in its state, and what stands in place of it meanwhile. */
export function whyWithStanding(page: PageReport): string {
  const standing = standingWords(page);
  return standing === '' ? page.why : `${page.why}; ${standing}`;
}

function stateOf(
  run: PageRun,
  findings: readonly Finding[],
  result: PageResult | undefined,
): { state: PageReportState; why: string } {
  const { match } = run;
  const worst = worstOf(findings);
  const first = gravest(findings);
  if (match.state !== 'ready') return { state: match.state, why: `${match.rule}${lookAt(worst, first)}` };
  if (worst === 'stop') return { state: 'stopped', why: first?.message ?? '' };
  if (result === undefined) return { state: 'ready', why: 'All its files are there; it was not made yet' };
  if (run.stored === undefined) return { state: 'ready', why: `Could be made${lookAt(worst, first)}` };
  if (isHalfMade(run))
    return { state: 'ready', why: `Proofed; its press files are not made yet${lookAt(worst, first)}` };
  if (worst === 'warn') return { state: 'attention', why: first?.message ?? '' };
  return { state: 'done', why: 'Nothing to look at' };
}

function lookAt(worst: Severity | undefined, first: Finding | undefined): string {
  return worst === undefined || worst === 'note' ? '' : `; to look at first: ${first?.message}`;
}

/** Whether something is still to be made, although the page has a result: after a run that made proofs only. */
function isHalfMade({ stored }: PageRun): boolean {
  return stored !== undefined && !productNames.every((product) => stored.asked.includes(product));
}

/** A page that cannot be delivered as it is, and why. */
export interface LeftOutPage {
  readonly page: string;
  readonly state: PageReportState;
  readonly why: string;
}

/** Pages that may be printed: done, or done with something to look at. */
export function isDeliverable(state: PageReportState): boolean {
  return state === 'done' || state === 'attention';
}

/** The pages that keep an issue from being delivered, in reading order. */
export function notDeliverable(report: Pick<IssueReport, 'pages'>): LeftOutPage[] {
  const open = report.pages.filter(({ state }) => !isDeliverable(state));
  return open.map((one) => ({ page: one.page, state: one.state, why: whyWithStanding(one) }));
}

/** The finding to name first when there is room for one. */
export function gravest(findings: readonly Finding[]): Finding | undefined {
  return worstFirst(findings)[0];
}

/** `9 pages done, 1 stopped, 1 missing`, leaving out what is nought. */
export function summaryOf({ counts }: Pick<IssueReport, 'counts'>): string {
  const ready = counts.done + counts.attention;
  const words = [`${ready} ${ready === 1 ? 'page' : 'pages'} done`];
  if (counts.attention > 0) words.push(`${counts.attention} of them to look at`);
  for (const state of pageStates) {
    if (counts[state] > 0 && !isDeliverable(state)) words.push(`${counts[state]} ${state}`);
  }
  return words.join(', ');
}

/**
 * What a run's outcome means for the process: attention as long as a page is stopped, waiting, missing, contested or not worked on,
 * or a file is not known. A page of which only the proof was asked for has what was asked for.
 */
export function exitCodeOf(
  report: Pick<IssueReport, 'counts' | 'pages' | 'unknown' | 'contested'>,
): ExitCode {
  const { stopped, waiting, missing, contested } = report.counts;
  const idle = report.pages.filter(({ state, key }) => state === 'ready' && key === '').length;
  const open =
    stopped + waiting + missing + contested + idle + report.unknown.length + report.contested.length;
  return open === 0 ? exitCode.done : exitCode.attention;
}
