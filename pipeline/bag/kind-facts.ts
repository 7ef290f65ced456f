import { formatLength, formatSize } from '../../config/figures.js';
import type { IssuePage, Job } from '../../config/job.js';
import { pressCatalogue } from '../../config/press/press-conditions.js';
import { isBlackOnly, type PdfForm } from '../../config/print-spec.js';
import type { LengthUnit } from '../../config/units.js';
import type { PageReport } from '../issue/report.js';
import type { FactSection } from './delivery-news.js';
import { pagesWords } from './page-content.js';

/** How the pages of each kind are to be printed: pages for which all of it is alike are told together. */

/** What people call the forms, with their standards. */
const pdfFormTitles: Readonly<Record<PdfForm, string>> = {
  'x-1a': 'PDF/X-1a:2003 (ISO 15930-4)',
  'x-4': 'PDF/X-4 (ISO 15930-7)',
};

/** A section for each kind of page, in the order of the pages. */
export function kindSections(job: Job, reports: readonly PageReport[]): FactSection[] {
  const groups = new Map<
    string,
    { readonly kind: string; readonly lines: string[]; readonly ids: string[] }
  >();
  for (const report of reports) {
    const page = job.pages.find(({ id }) => id === report.page);
    if (page === undefined) throw new Error(`page ${report.page} is not in the page list`);
    const lines = [...sizeLines(page), ...pressLines(page, report)];
    const key = [page.kind, ...lines].join('\n');
    const group = groups.get(key) ?? { kind: page.kind, lines, ids: [] };
    group.ids.push(page.id);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ kind, lines, ids }) => ({
    heading: `How to print ${kind}: ${pagesWords(ids)}`,
    lines,
    isProse: true,
  }));
}

function sizeLines({ spec, numbers }: IssuePage): string[] {
  const { trim, bleedMm, safeMm } = spec;
  const [mm, inches]: readonly LengthUnit[] = ['mm', 'in'];
  const size = { ...trim, widthMm: trim.widthMm / (numbers.length > 1 ? 2 : 1) };
  const both = (lengthMm: number) => `${formatLength(lengthMm, mm)} (${formatLength(lengthMm, inches)})`;
  return [
    `Trim: ${formatSize(size, mm)} (${formatSize(size, inches)}), width x height of one page.`,
    `Bleed: ${both(bleedMm)} beyond the trim on all sides; it is in the files. Safe: ${both(safeMm)} within the trim.`,
  ];
}

function pressLines({ spec }: IssuePage, { condition }: PageReport): string[] {
  if (condition === undefined) return [];
  const paper = pressCatalogue().find(({ name }) => name === condition.id)?.paper;
  const on = paper === undefined ? '; the paper is that of the profile' : `; paper: ${paper}`;
  const confirmed = spec.inkLimitConfirmed ? 'Confirmed by your printer' : 'Not confirmed by your printer';
  const inks = isBlackOnly(spec) ? 'black alone; a grey page' : spec.inks.join(', ');
  return [
    `Press condition: ${condition.title} (${condition.dataSet ?? condition.id})${on}.`,
    `Inks: ${inks}.`,
    `Ink limit: ${condition.inkLimitPercent} % (${condition.inkLimitSource}). ${confirmed}.`,
    `Resolution: colour ${spec.colourPpi} ppi, line ${spec.linePpi} ppi. PDF pages: ${pdfFormTitles[spec.pdf]}${spec.marks ? ', with marks outside the bleed' : ''}.`,
  ];
}
