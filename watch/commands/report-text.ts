import { styleText } from 'node:util';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { sentence } from '../../config/figures.js';
import { allVisible } from '../../config/visible-text.js';
import { IncompleteIssueError, JobInvalidError } from '../../pipeline/index.js';
import {
  type IssueReport,
  type PageReport,
  type PageReportState,
  summaryOf,
  whyWithStanding,
} from '../../pipeline/issue/report.js';
import type { Finding } from '../../pipeline/model/findings.js';

/** Reports in words, for people. Colour only ever repeats what the words say. */

/** Puts a colour on a word, or leaves it plain. */
export type Paint = (colour: 'red' | 'yellow' | 'green' | 'dim' | 'bold', text: string) => string;

/** Colours for a stream: plain when it is no terminal, or when NO_COLOR is set (https://no-color.org). */
export function paintFor(stream: { readonly isTTY?: boolean | undefined }): Paint {
  const plain = !stream.isTTY || (process.env.NO_COLOR ?? '') !== '';
  return (colour, text) => (plain ? text : styleText(colour, text, { validateStream: false }));
}

/** The colour that repeats a page's state. */
export const stateColour = {
  done: 'green',
  attention: 'yellow',
  stopped: 'red',
  ready: 'yellow',
  waiting: 'red',
  missing: 'red',
  contested: 'red',
  held: 'yellow',
} as const satisfies Record<PageReportState, 'green' | 'yellow' | 'red'>;

/** A whole run: the page board, what was found, what was left out, and a summary; control characters written out. */
export function runText(whole: IssueReport, paint: Paint): string {
  // Figures and files that the text does not speak of are most of a report, and need no looking through.
  const pages = whole.pages.map((page) => ({ ...page, measures: undefined, outputs: [] }));
  const report = allVisible({ ...whole, pages });
  const lines = [
    ...boardLines(report, paint),
    ...findingLines(report, paint),
    ...leftOutLines(report, paint),
  ];
  lines.push('', `${report.issue}: ${summaryOf(report)}.`);
  if (report.contactSheet !== undefined) lines.push(`Contact sheet: ${report.contactSheet}`);
  if (report.reportFile !== undefined) lines.push(`Report, to open in a browser: ${report.reportFile}`);
  for (const { path, pages } of report.issuePdfs) {
    lines.push(`Pages in one PDF: ${path}, ${pages.length} of ${report.pages.length}`);
  }
  return lines.join('\n');
}

function boardLines(report: IssueReport, paint: Paint): string[] {
  const width = Math.max(4, ...report.pages.map(({ page }) => page.length));
  return report.pages.map((page) => {
    const state = paint(stateColour[page.state], page.state.padEnd(9));
    return `  ${page.page.padEnd(width)}  ${state}  ${boardNote(page)}`.trimEnd();
  });
}

function boardNote(page: PageReport): string {
  if (page.state === 'done') return page.files.map(({ name }) => name).join(', ');
  return sentence(whyWithStanding(page));
}

function findingLines(report: IssueReport, paint: Paint): string[] {
  const lines: string[] = [];
  for (const page of report.pages) {
    const shown = page.findings.filter(
      ({ severity, accepted }) => severity !== 'note' || accepted !== undefined,
    );
    if (shown.length === 0) continue;
    lines.push('', `Page ${page.page}`);
    for (const finding of shown) lines.push(...findingText(finding, paint));
  }
  return lines;
}

function findingText(finding: Finding, paint: Paint): string[] {
  const colour = finding.severity === 'stop' ? 'red' : finding.severity === 'warn' ? 'yellow' : 'dim';
  const file = finding.file === undefined ? '' : ` [${finding.file}]`;
  const lines = [`  ${paint(colour, finding.severity)} ${finding.code}: ${sentence(finding.message)}${file}`];
  if (finding.measured !== undefined) {
    const limit = finding.limit === undefined ? '' : `; asked for: ${finding.limit}`;
    const source = finding.source === undefined ? '' : ` (${finding.source})`;
    lines.push(`       found: ${finding.measured}${limit}${source}`);
  }
  if (finding.accepted !== undefined) lines.push(`       accepted in job.yaml: ${finding.accepted}`);
  else lines.push(`       ${sentence(finding.remedy)}`);
  return lines;
}

/** Files that are not used, with why. */
export function leftOutLines(report: IssueReport, paint: Paint): string[] {
  const lines: string[] = [];
  const section = (title: string, rows: readonly string[]) => {
    if (rows.length > 0) lines.push('', paint('bold', title), ...rows.map((row) => `  ${row}`));
  };
  section(
    'Contested: none of these is used',
    report.contested.flatMap(({ page, part, names, rule, remedy }) => [
      `page ${page}, ${part}: ${names.join(' and ')} (${rule})`,
      `  ${remedy}`,
    ]),
  );
  section(
    'Unknown: not used',
    report.unknown.flatMap(({ name, rule, remedy }) => [
      `${name}: ${rule}`,
      ...(remedy === '' ? [] : [`  ${remedy}`]),
    ]),
  );
  // Litter needs no word; what is told with a remedy may be a page that somebody waits for.
  const passedOver = report.passedOver.filter(({ remedy }) => remedy !== '');
  section(
    'Passed over',
    passedOver.flatMap(({ name, rule, remedy }) => [`${name}: ${rule}`, `  ${remedy}`]),
  );
  section(
    'Superseded by a newer version',
    report.superseded.map(({ name, by }) => `${name} by ${by}`),
  );
  section('In job.yaml under names, but not in incoming/', report.unusedAssignments);
  return lines;
}

/** What went wrong, as the JSON of every command says it. */
export function errorFacts(thrown: unknown) {
  const known = thrown instanceof PlatehandError ? thrown : undefined;
  return {
    code: known?.code ?? 'fault',
    what: known?.what ?? messageOf(thrown),
    place: known?.place ?? {},
    remedy: known?.remedy ?? 'This is a fault of platehand, not of your files.',
    ...(thrown instanceof JobInvalidError ? { problems: thrown.problems } : {}),
    ...(thrown instanceof IncompleteIssueError
      ? { blocking: thrown.blocking, noteMistakes: thrown.noteMistakes }
      : {}),
  };
}
