import { counted } from '../../config/figures.js';
import type { FileKind, IssuePage, Job } from '../../config/job.js';
import type { BlackPlate } from '../../config/print-spec.js';
import { issuePdfPlans } from '../issue/issue-pdf.js';
import type { PageReport } from '../issue/report.js';
import { issueProducts } from '../outputs/issue-products.js';
import { bundlePathOf } from '../outputs/products.js';
import type { FactSection } from './delivery-news.js';
import type { DeliveryPlan } from './next-delivery.js';
import { pagesWords } from './page-content.js';

/** What each file of a delivery is, which to use, and what overprints. */

/** @param pages the reports of the pages that are in it */
export function fileSections(
  job: Job,
  { others }: Pick<DeliveryPlan, 'others'>,
  pages: readonly PageReport[],
): FactSection[] {
  const { files } = job.delivery;
  const own = job.pages.filter(({ id }) => pages.some(({ page }) => page === id));
  const lines = files.flatMap((kind) =>
    kindLines[kind]({ job, own, pages, others: others.map(({ path }) => path) }),
  );
  return [
    { heading: 'Which files to use', lines: [...alone(files), ...lines], isProse: true },
    { heading: 'What overprints', lines: [...overprintLines(files), ...extraInkLines(pages)], isProse: true },
  ];
}

/** Of each extra ink on which pages it is, and whether it overprints. */
function extraInkLines(pages: readonly PageReport[]): string[] {
  const found = new Map<string, { readonly name: string; readonly overprints: boolean; ids: string[] }>();
  for (const { page, measures } of pages) {
    for (const { id, name, overprints } of measures?.extraInks?.inks ?? []) {
      const known = found.get(id) ?? { name, overprints, ids: [] };
      known.ids.push(page);
      found.set(id, known);
    }
  }
  return [...found].map(([id, { name, overprints, ids }]) => {
    const how = overprints
      ? 'It overprints; nothing is cleared beneath it.'
      : 'It knocks out: what is beneath it is cleared in our files already.';
    return `Extra ink ${name}, ${pagesWords(ids)}: its plate is plates/..._${id}.tif, and a separation of its own in the PDF. ${how}`;
  });
}

interface Told {
  readonly job: Job;
  /** The pages that are in it, as the job has them and as they were made. */
  readonly own: readonly IssuePage[];
  readonly pages: readonly PageReport[];
  /** Paths of the files that belong to no page. */
  readonly others: readonly string[];
}

const kindLines: Readonly<Record<FileKind, (told: Told) => readonly string[]>> = {
  pdf: ({ job, pages, others }) => [
    'pdf/: PDF/X, complete pages; print from these if you take PDF. The colour without loss, and over it the line at its own ' +
      'resolution, set to overprint.',
    ...issuePdfPlans(job, pages).flatMap(({ path, pages: ids }) => {
      // A supplement has none.
      return others.includes(path) ? [`  ${path}: ${counted(ids.length, 'page')} in reading order.`] : [];
    }),
  ],
  composite: () => [
    'press/: one composite CMYK TIFF a page, its output profile embedded, black line included; print from these if you take ' +
      'TIFF. Of a page in black ink alone a grey TIFF (0 is solid black), for the black plate as its numbers are.',
  ],
  line: ({ job, own }) => {
    const lacking = own.some(({ spec }) => spec.blackPlate === 'withoutLine');
    const plates = job.delivery.files.includes('plates') && lacking ? ' or plates without line' : '';
    return [
      'press/..._line.tif: the line art alone as 1-bit TIFF, black only, at its own resolution. Laid over the ' +
        `composite${plates} in black, to overprint, it prints sharper.`,
    ];
  },
  plates: plateLines,
  proofs: ({ others }) => {
    const holds = (path: string | undefined) => path !== undefined && others.includes(path);
    const { contactSheet, report, reportJson } = issueProducts;
    const all = holds(contactSheet.bundlePath) ? `; ${contactSheet.bundlePath} shows all of them` : '';
    const found = holds(report.bundlePath)
      ? [
          `${report.bundlePath}: what was found on each page and where, to open in a browser; it needs no network, only its folder beside it. ` +
            `The same for programs: ${reportJson.bundlePath}. NOT FOR PRINT.`,
        ]
      : [];
    return [`proofs/: pictures of the pages as they are expected to print${all}. NOT FOR PRINT.`, ...found];
  },
};

/** Where nothing in it is a page by itself. */
function alone(files: readonly FileKind[]): string[] {
  if (files.includes('pdf') || files.includes('composite') || files.includes('plates')) return [];
  return ['THE LINE ALONE IS NO PAGE: lay it over the composite that was delivered before.'];
}

function plateLines({ own, pages, job }: Told): string[] {
  const names = pages.flatMap(({ outputs }) => {
    return outputs.flatMap((output) => {
      const isIn = output.product === 'plates' && bundlePathOf(output, job.delivery.files) !== undefined;
      return isIn ? [output.role] : [];
    });
  });
  const holding = (what: BlackPlate) =>
    own.filter(({ spec }) => spec.blackPlate === what).map(({ id }) => id);
  const without = holding('withoutLine');
  const complete = holding('withLine');
  const warning =
    `NEVER PRINT FROM THE PLATES ALONE, ${pagesWords(without)}: the black plate (_black) holds the black of the colour work only. The ` +
    'line art belongs on top of it in black, overprinting, from the _line file in press/, wherever a page has one.';
  const relief =
    `Complete by themselves, ${pagesWords(complete)}: the black plate holds the line art as well, at the resolution of the line ` +
    'where the page has any. Do not lay the _line file over it again.';
  return [
    `plates/: one single-channel TIFF an ink (0 is no ink): ${[...new Set(names)].join(', ')}.`,
    ...(without.length === 0 ? [] : [`  ${warning}`]),
    ...(complete.length === 0 ? [] : [`  ${relief}`]),
  ];
}

function overprintLines(files: readonly FileKind[]): string[] {
  return [
    'The line prints in black ink over the other inks and knocks none of them out: cyan, magenta and yellow stay beneath it.',
    ...(files.includes('pdf')
      ? ['In the PDF files that is set; leave overprinting on, in the RIP and in previews.']
      : []),
    ...(files.includes('line')
      ? ['In the 1-bit TIFF nothing can say so: set it where you place the file.']
      : []),
  ];
}
