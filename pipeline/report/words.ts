import { counted, formatMeasured } from '../../config/figures.js';
import type { LengthUnit } from '../../config/units.js';
import { apart, type Html, html, idOf } from './html.js';
import { severityWords } from './palette.js';
import type {
  ReportedBox,
  ReportedFinding,
  ReportedNote,
  ReportedPage,
  ReportedPlace,
} from './report-form.js';

/** Small pieces of the report that several of its parts say alike. */

/** Address of a page within the report. */
export function pageId(page: string): string {
  return idOf('page', page);
}

/** Address of a finding in the list of its page. */
export function findingId(page: string, { number }: Pick<ReportedFinding, 'number'>): string {
  return idOf('f', page, number);
}

/** Address of a box on the picture of its page. */
export function boxId(page: string, { number }: Pick<ReportedPlace, 'number'>): string {
  return idOf('b', page, ...number.split('.'));
}

/** Address of a note in the list of its page. */
export function noteId(page: string, { number }: Pick<ReportedNote, 'number'>): string {
  return idOf('n', page, number);
}

/** `Page 7`, `Pages 12-13`, `Page cover`. */
export function pageTitle({ page, numbers }: Pick<ReportedPage, 'page' | 'numbers'>): Html {
  return html`${numbers.length > 1 ? 'Pages' : 'Page'} ${apart(page)}`;
}

/** The same as plain text, for what is read out. */
export function pageWords({ page, numbers }: Pick<ReportedPage, 'page' | 'numbers'>): string {
  return `${numbers.length > 1 ? 'Pages' : 'Page'} ${page}`;
}

const stateShapes: Readonly<Record<string, string>> = {
  done: 'done',
  attention: 'warn',
  ready: 'note',
  held: 'note',
};

/** A state as shape, word and colour. */
export function stateMark(state: string): Html {
  const shape = stateShapes[state] ?? 'stop';
  return html`<span class="mark ${shape}">${state}</span>`;
}

/** A severity as shape, word and colour. */
export function severityMark(severity: ReportedFinding['severity']): Html {
  return html`<span class="mark ${severity}">${severityWords[severity]}</span>`;
}

/** Where a place is and how large, in the job's unit. */
export function placeWords(
  { xMm, yMm, widthMm, heightMm, measured }: ReportedPlace,
  unit: LengthUnit,
): string {
  const at = `${figureOf(xMm, unit)} / ${formatMeasured(yMm, unit)}`;
  const size = `${figureOf(widthMm, unit)} x ${formatMeasured(heightMm, unit)}`;
  return `${at}, ${size}${measured === null ? '' : `: ${measured}`}`;
}

function figureOf(mm: number, unit: LengthUnit): string {
  return formatMeasured(mm, unit).replace(` ${unit}`, '');
}

/** `2 stops, 1 warning`; leaves out what is nought. */
export function foundWords({
  stop,
  warn,
  note,
}: Readonly<Record<ReportedFinding['severity'], number>>): string {
  const words = [
    ...(stop > 0 ? [counted(stop, 'stop')] : []),
    ...(warn > 0 ? [counted(warn, 'warning')] : []),
    ...(note > 0 ? [counted(note, 'note')] : []),
  ];
  return words.length === 0 ? 'no findings' : words.join(', ');
}

/** How many findings of each severity there are. */
export function countFound(findings: readonly Pick<ReportedFinding, 'severity'>[]) {
  const count = (severity: ReportedFinding['severity']) =>
    findings.filter((one) => one.severity === severity).length;
  return { stop: count('stop'), warn: count('warn'), note: count('note') };
}

/** Where a box lies on its picture, as a style. */
export function styleOf({ leftPercent, topPercent, widthPercent, heightPercent }: ReportedBox): string {
  return `left:${leftPercent}%;top:${topPercent}%;width:${widthPercent}%;height:${heightPercent}%`;
}
