import type { IssuePage, Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { bleedBox } from '../../config/print-spec.js';
import type { IssueReport, LeftOutPage, PageReport } from '../issue/report.js';
import { bundlePathOf } from '../outputs/products.js';

/** Version of the layout of delivery.json; raised when a field changes its meaning. */
const deliveryFormat = 1;

/**
 * What delivery.json says: the issue, each page with its files, sizes, resolutions, press condition, findings and the
 * working pages it was made from. Lengths in millimetres, ink in percent. Holds no time of its own, so that the same
 * pages give the same bytes.
 */
export function deliveryRecord(
  job: Job,
  report: IssueReport,
  leftOut: readonly LeftOutPage[],
  reason: string | undefined,
): Record<string, unknown> {
  const absent = new Set(leftOut.map(({ page }) => page));
  return {
    format: `platehand delivery ${deliveryFormat}`,
    madeBy: `platehand ${packageVersion()}`,
    cautions: [
      'A soft proof is not a contract proof.',
      "The printer's own specification decides.",
      'The black plate holds no line art: use the composite, or the four plates together with the line.',
    ],
    issue: job.issue,
    title: job.title,
    number: job.number,
    due: job.due,
    complete: leftOut.length === 0,
    partialReason: reason,
    leftOut,
    pages: report.pages.filter(({ page }) => !absent.has(page)).map((page) => pageRecord(job, page)),
  };
}

function pageRecord(job: Job, report: PageReport): Record<string, unknown> {
  const page = job.pages.find(({ id }) => id === report.page);
  if (page === undefined) throw new Error(`page ${report.page} is not in the page list`);
  return {
    page: report.page,
    kind: report.kind,
    numbers: page.numbers,
    scene: report.scene,
    ...sizeRecord(page),
    press: report.condition,
    measures: report.measures,
    findings: report.findings,
    workingPages: report.used,
    files: report.outputs.flatMap((output) => {
      const path = bundlePathOf(output);
      const { product: _product, name: _name, ...file } = output;
      return path === undefined ? [] : [{ path, ...file }];
    }),
  };
}

function sizeRecord({ spec }: IssuePage): Record<string, unknown> {
  const box = bleedBox(spec);
  return {
    trimMm: [spec.trim.widthMm, spec.trim.heightMm],
    bleedMm: spec.bleedMm,
    trimPlusBleedMm: [box.widthMm, box.heightMm],
    colourPpi: spec.colourPpi,
    linePpi: spec.linePpi,
    intent: spec.intent,
    blackPointCompensation: spec.blackPointCompensation,
  };
}
