import type { IssuePage, Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { bleedBox } from '../../config/print-spec.js';
import type { IssueReport, LeftOutPage, PageReport } from '../issue/report.js';
import { isAboutVersions } from '../issue/version-findings.js';
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
    findings: report.findings.filter((finding) => !isAboutVersions(finding)),
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

/** What the receiver of a bundle has to know before printing from it, as plain text in data/READ-ME.txt. */
export function receiverNote(job: Job, leftOut: readonly LeftOutPage[], reason: string | undefined): string {
  const title = job.number === undefined ? job.title : `${job.title}, number ${job.number}`;
  const lines = [
    `${job.issue}: ${title}`,
    '',
    ...partialNote(leftOut, reason),
    'press/    one composite CMYK TIFF a page, its output profile embedded, black line included;',
    '          and the line art alone as 1-bit TIFF (_line), black only, at its own resolution, to overprint.',
    'plates/   the four process inks as single-channel TIFFs (0 is no ink). The black plate (_black) holds the',
    '          black of the colour work only: the line art belongs on top of it, from the _line file in press/.',
    '          Use the composite, or the four plates together with the line; never the four plates alone.',
    'proofs/   pictures of the pages as they are expected to print. NOT FOR PRINT.',
    '',
    'Cautions',
    'A soft proof is not a contract proof: colour on a screen is an aim, not a promise.',
    "The printer's own specification decides. Where it differs from delivery.json, follow the printer.",
    'Each page names its press condition and ink limit in delivery.json; look before you print on another paper.',
    '',
    'Every file of this bundle is listed with its SHA-256 in manifest-sha256.txt (BagIt 1.0, RFC 8493).',
    'To check it: sha256sum -c manifest-sha256.txt, or platehand verify.',
  ];
  return `${lines.join('\n')}\n`;
}

function partialNote(leftOut: readonly LeftOutPage[], reason: string | undefined): string[] {
  if (leftOut.length === 0) return [];
  return [
    'THIS DELIVERY IS PARTIAL.',
    `Reason given: ${reason ?? 'none'}`,
    ...leftOut.map(({ page, state, why }) => `  page ${page} is not in it (${state}): ${why}`),
    '',
  ];
}
