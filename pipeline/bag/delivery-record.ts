import type { IssuePage, Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { bleedBox } from '../../config/print-spec.js';
import type { PageReport } from '../issue/report.js';
import { isAboutVersions } from '../issue/version-findings.js';
import { bundlePathOf } from '../outputs/products.js';
import type { DeliveryNews } from './delivery-news.js';
import type { DeliveryPlan } from './next-delivery.js';
import type { PageChange } from './page-content.js';
import { splitRecord } from './split-note.js';

/** Version of the layout of delivery.json; raised when a field changes its meaning. */
const deliveryFormat = 1;

/**
 * What delivery.json says: the issue, the delivery and how it stands to those before it, each page with its files, sizes,
 * resolutions, press condition, findings and the working pages it was made from. Lengths in millimetres, ink in percent.
 * Holds no time but the day of delivery, so that the same pages of the same day give the same bytes.
 * @param pages the reports of the pages that are in it
 */
export function deliveryRecord(
  job: Job,
  plan: DeliveryPlan,
  news: DeliveryNews,
  pages: readonly PageReport[],
): Record<string, unknown> {
  const { number, name, kind, date, since, replaces, builtOn, changes, pageList, sources, absent } = plan;
  return {
    format: `platehand delivery ${deliveryFormat}`,
    madeBy: `platehand ${packageVersion()}`,
    cautions: [
      'A soft proof is not a contract proof.',
      "The printer's own specification decides.",
      'A black plate whose page says blackPlate withoutLine holds no line art: never print from such plates without the line.',
    ],
    issue: job.issue,
    title: job.title,
    number: job.number,
    due: job.due,
    duePassed: news.passedDue !== undefined,
    delivery: { number, name, kind, date },
    files: job.delivery.files,
    needs: job.delivery.needs,
    ...{ since, replaces, builtOn, changes: changes.map(changeRecord) },
    ...{ pageList, sources, absent },
    complete: pages.length === pageList.length,
    partialReason: news.reason,
    leftOut: news.leftOut,
    toLookAt: news.toLookAt,
    pages: pages.map((page) => pageRecord(job, page)),
  };
}

function changeRecord({ page, change, before, now }: PageChange): Record<string, unknown> {
  const sideOf = (side: PageChange['now']) =>
    side === undefined ? undefined : { workingPages: side.workingPages, files: side.files };
  return {
    page,
    change,
    before: before && { delivery: before.delivery, ...sideOf(before) },
    now: sideOf(now),
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
    ...splitRecord(page),
    press: report.condition,
    measures: report.measures,
    findings: report.findings.filter((finding) => !isAboutVersions(finding)),
    acceptance: report.acceptance,
    notes: report.notes,
    workingPages: report.used,
    files: report.outputs.flatMap((output) => {
      const path = bundlePathOf(output, job.delivery.files);
      const { product: _product, name: _name, trim: _trim, ...file } = output;
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
    blackPlate: spec.blackPlate,
    inkLimitConfirmed: spec.inkLimitConfirmed,
    intent: spec.intent,
    blackPointCompensation: spec.blackPointCompensation,
  };
}
