import type { IssuePage, Job } from '../../config/job.js';
import type { Finding } from '../model/findings.js';
import { severities, worstFirst, worstOf } from '../model/findings.js';
import { type StandingNote, whatEditorsSay } from '../model/page-notes.js';
import type { OutputFile } from '../model/page-result.js';
import type {
  ReportData,
  ReportedFinding,
  ReportedNote,
  ReportedPage,
  ReportedPictures,
} from '../report/report-form.js';
import { reportFormat } from '../report/report-form.js';
import type { ChangeSince } from './changes-since.js';
import { type PageReport, type PagesReport, pageStates, summaryOf } from './report.js';
import { boxOf, leastBoxPercent, pinOf, reportedChange } from './report-places.js';
import { isAboutVersions } from './version-findings.js';

/** What report.html and report.json say of an issue: plain data, the same for the same pages. */

/** What of a report they are made from. */
export type ReportedIssue = Pick<PagesReport, 'pages' | 'unknown' | 'contested'>;

const cautions = [
  'A soft proof is not a contract proof: colour on a screen is an aim, not a promise.',
  "The printer's own specification decides. Where it differs from what is said here, follow the printer.",
  'Heat pictures and plates are made small, to show where to look; press files are what prints.',
];

/**
 * @param report its pages are pages of the job
 * @param changes pages that differ from review rounds; default none, as for a receiver, who has seen no round
 */
export function reportData(
  job: Job,
  report: ReportedIssue,
  changes: ReadonlyMap<string, ChangeSince> = new Map(),
): ReportData {
  const own = new Map(job.pages.map((page) => [page.id, page]));
  const pages = report.pages.flatMap((page) => {
    const listed = own.get(page.page);
    return listed === undefined ? [] : [reportedPage(page, listed, changes.get(page.page))];
  });
  const counts = Object.fromEntries(pageStates.map((state) => [state, countOf(pages, state)]));
  const { issue, title, number, due, units, scenes } = job;
  return {
    ...{ format: reportFormat, issue, title, number: number ?? null, due: due ?? null, units },
    summary: summaryOf({ counts: counts as PagesReport['counts'] }),
    counts,
    found: {
      stop: foundOf(pages, 'stop'),
      warn: foundOf(pages, 'warn'),
      note: foundOf(pages, 'note'),
    },
    kinds: kindsOf(pages),
    scenes: scenes.map(({ id, title }) => ({ id, title })),
    board: boardOf(pages),
    pages,
    leftOut: leftOutOf(report),
    cautions,
  };
}

/**
 * The issue as a receiver is told of it: what only tells of a page's last version, and what editors wrote, stays at home, since the same
 * pages have to give the same delivery whatever was there before.
 */
export function forReceiver(report: ReportedIssue): ReportedIssue {
  const pages = report.pages.map((page) => ({
    ...withoutItsVersions(page),
    ...whatEditorsSay(undefined, []),
  }));
  return { ...report, pages };
}

function withoutItsVersions(page: PageReport): PageReport {
  const findings = page.findings.filter((finding) => !isAboutVersions(finding));
  if (findings.length === page.findings.length || page.state !== 'attention') return { ...page, findings };
  if (worstOf(findings) === 'warn') return { ...page, findings, why: worstFirst(findings)[0].message };
  return { ...page, findings, state: 'done', why: 'Nothing to look at' };
}

function countOf(pages: readonly ReportedPage[], state: string): number {
  return pages.filter((page) => page.state === state).length;
}

function foundOf(pages: readonly ReportedPage[], severity: string): number {
  return pages.reduce(
    (sum, page) => sum + page.findings.filter((one) => one.severity === severity).length,
    0,
  );
}

function reportedPage(
  report: PageReport,
  { numbers, spec }: IssuePage,
  change: ChangeSince | undefined,
): ReportedPage {
  const { page, kind, scene, state, why, missing, files, condition, findings, outputs } = report;
  const { trim, bleedMm } = spec;
  return {
    ...{ page, kind, scene: scene ?? null, numbers: [...numbers], state, why, missing: [...missing] },
    files: files.map(({ name }) => name),
    trimMm: { width: trim.widthMm, height: trim.heightMm },
    bleedMm,
    condition: condition === undefined ? null : conditionOf(condition),
    pictures: picturesOf(outputs, spec),
    findings: worstFirst(findings).map((finding, at) => reportedFinding(finding, at + 1, spec)),
    since: change === undefined ? null : reportedChange(change, spec),
    acceptance: { ...report.acceptance, round: report.acceptance.round ?? null },
    notes: report.notes.map((note) => reportedNote(note, spec)),
  };
}

function reportedNote(note: StandingNote, spec: IssuePage['spec']): ReportedNote {
  const { name, number, round, editor, text, state, closedBy, place, cell } = note;
  return {
    ...{ name, number, round, editor: editor ?? null, text, state, closedBy: closedBy ?? null },
    ...{ xMm: place?.xMm ?? null, yMm: place?.yMm ?? null, cell: cell ?? null },
    pin: place === undefined ? null : pinOf(place, spec),
  };
}

function conditionOf({ id, title, inkLimitPercent, inkLimitSource }: NonNullable<PageReport['condition']>) {
  return { id, title, inkLimitPercent, inkLimitSource };
}

function reportedFinding(finding: Finding, number: number, spec: IssuePage['spec']): ReportedFinding {
  const { code, severity, message, measured, limit, source, remedy, accepted, file, places } = finding;
  return {
    ...{
      number,
      code,
      severity,
      message,
      measured: measured ?? null,
      limit: limit ?? null,
      source: source ?? null,
    },
    ...{ remedy, accepted: accepted ?? null, file: file ?? null, placesInAll: places?.inAll ?? 0 },
    places: (places?.shown ?? []).map((place, at) => ({
      ...{ number: `${number}.${at + 1}`, xMm: place.xMm, yMm: place.yMm },
      ...{ widthMm: place.widthMm, heightMm: place.heightMm, measured: place.measured ?? null },
      box: boxOf(place, spec, leastBoxPercent),
    })),
  };
}

/** Address of a page's picture from where the report stands. */
function pictureAt({ name }: OutputFile): string {
  return `img/${name}`;
}

function picturesOf(outputs: readonly OutputFile[], spec: IssuePage['spec']): ReportedPictures | null {
  const found = (role: string) =>
    outputs.find((output) => output.product === 'views' && output.role === role);
  const view = found('view');
  if (view === undefined) return null;
  const { width, height } = view;
  const trim = boxOf({ xMm: 0, yMm: 0, ...spec.trim }, spec, 0);
  const layers = [...layersOf(found('heat'), 'heat'), ...layersOf(found('plates'), 'plate')];
  return { path: pictureAt(view), width, height, trim, layers };
}

function layersOf(strip: OutputFile | undefined, kind: 'heat' | 'plate'): ReportedPictures['layers'] {
  if (strip?.shows === undefined) return [];
  const tiles = strip.shows.length;
  return strip.shows.map((role, tile) => ({ role, kind, path: pictureAt(strip), tile, tiles }));
}

const needsMost = ['stopped', 'contested', 'missing', 'waiting', 'attention', 'ready', 'held', 'done'];

/** Those that need most first: by state, then by what was found, then as they are read. */
function boardOf(pages: readonly ReportedPage[]): string[] {
  const need = (page: ReportedPage) => {
    const count = (severity: string) => page.findings.filter((one) => one.severity === severity).length;
    return [-needsMost.indexOf(page.state), count('stop'), count('warn'), count('note')];
  };
  const needs = pages.map((page) => ({ page: page.page, need: need(page) }));
  const compare = (one: readonly number[], other: readonly number[]) => {
    const at = one.findIndex((each, i) => each !== other[i]);
    return at < 0 ? 0 : other[at] - one[at];
  };
  return needs.toSorted((a, b) => compare(a.need, b.need)).map(({ page }) => page);
}

function kindsOf(pages: readonly ReportedPage[]): ReportData['kinds'] {
  const kinds = new Map<string, ReportData['kinds'][number]>();
  for (const { page, findings } of pages) {
    for (const { code, severity } of findings) {
      const kind = kinds.get(code) ?? { code, severity, findings: 0, pages: [] };
      kinds.set(code, kind);
      kind.findings++;
      if (severities.indexOf(severity) > severities.indexOf(kind.severity)) kind.severity = severity;
      if (kind.pages.at(-1) !== page) kind.pages.push(page);
    }
  }
  const rank = ({ severity, findings }: ReportData['kinds'][number]) =>
    severities.indexOf(severity) * 1e9 + findings;
  return [...kinds.values()].sort((a, b) => rank(b) - rank(a) || (a.code < b.code ? -1 : 1));
}

function leftOutOf({ unknown, contested }: ReportedIssue): ReportData['leftOut'] {
  return [
    ...contested.flatMap(({ names, rule, remedy }) => names.map((file) => ({ file, why: rule, remedy }))),
    ...unknown.map(({ name, rule, remedy }) => ({ file: name, why: rule, remedy })),
  ];
}
