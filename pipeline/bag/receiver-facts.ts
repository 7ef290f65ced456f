import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { PageReport } from '../issue/report.js';
import { localStore } from '../store/local-store.js';
import { changesNote, type DeliveryNews, type FactSection, newsSections, whatItIs } from './delivery-news.js';
import { fileSections } from './file-facts.js';
import { kindSections } from './kind-facts.js';
import type { DeliveryPlan } from './next-delivery.js';
import { pagesWords } from './page-content.js';
import { splitNote } from './split-note.js';

/** What a stranger has to know to print right from a delivery: plain data, from which its text and its printable sheet are made. */
export interface ReceiverFacts {
  readonly issue: string;
  /** Issue code, title and number of the issue. */
  readonly title: string;
  /** Number, day and what the delivery is. */
  readonly delivery: string;
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly day: string;
  readonly sections: readonly FactSection[];
  /** How to tell that all of it is there and as it was sent. */
  readonly checksums: readonly string[];
  /** The pages that are in it, in reading order. */
  readonly pages: readonly PictureFact[];
}

/** A page as the sheet shows it. */
export interface PictureFact {
  readonly page: string;
  /** None for a cover, one for a page, two for a spread. */
  readonly numbers: readonly number[];
  /** Width by height of the trim; a spread's is that of both pages together. */
  readonly aspect: number;
  /** Whether somebody should look at it before it is printed. */
  readonly toLookAt: boolean;
  /** File of its small picture; undefined where there is none. */
  readonly thumbnail: string | undefined;
}

/** @param pages the reports of the pages that are in it, in reading order */
export function receiverFacts(
  job: Job,
  plan: DeliveryPlan,
  news: DeliveryNews,
  pages: readonly PageReport[],
): ReceiverFacts {
  const about = job.number === undefined ? job.title : `${job.title}, number ${job.number}`;
  return {
    issue: job.issue,
    title: `${job.issue}: ${about}`,
    delivery: `Delivery ${plan.number} of ${plan.date}: ${whatItIs(plan)}`,
    day: plan.date,
    sections: [
      ...newsSections(plan, news),
      orderSection(job, plan),
      ...fileSections(job, plan, pages),
      ...kindSections(job, pages),
      ...acceptedSection(pages),
      ...changesNote(plan),
      cautions,
    ],
    checksums: [
      'Every file of this bundle is listed with its SHA-256 in manifest-sha256.txt (BagIt 1.0, RFC 8493).',
      'To check it: sha256sum -c manifest-sha256.txt, or platehand verify.',
      'The SHA-256 of manifest-sha256.txt itself, which stands for the whole, is printed on receiver-sheet.pdf; to compute it: sha256sum manifest-sha256.txt.',
    ],
    pages: pages.map((page) => pictureFact(job, page, news)),
  };
}

function orderSection(job: Job, plan: DeliveryPlan): FactSection {
  const sent = new Set(plan.pages.map(({ page }) => page));
  const spreads = job.pages.filter(({ id, numbers }) => sent.has(id) && numbers.length > 1);
  const lines = [`${pagesWords([...sent])} (${sent.size} of the ${plan.pageList.length} of the issue).`];
  if (spreads.length > 0)
    lines.push(`Spreads, each one picture across two pages: ${spreads.map(({ id }) => id).join(', ')}.`);
  return { heading: 'Pages, in reading order', lines: [...lines, ...splitNote(job, sent)] };
}

/** What was found and accepted by the people in charge, with the reason that they gave. */
function acceptedSection(pages: readonly PageReport[]): FactSection[] {
  const lines = pages.flatMap(({ page, findings }) =>
    findings.flatMap(({ code, message, accepted }) =>
      accepted === undefined ? [] : [`page ${page}: ${message} (${code})`, `  accepted: ${accepted}`],
    ),
  );
  return lines.length === 0 ? [] : [{ heading: 'Accepted by the people in charge', lines }];
}

const cautions: FactSection = {
  heading: 'Cautions',
  lines: [
    'A soft proof is not a contract proof: colour on a screen is an aim, not a promise.',
    "The printer's own specification decides. Where it differs from delivery.json, follow the printer.",
    'Each page names its press condition and ink limit in delivery.json; look before you print on another paper.',
  ],
};

function pictureFact(job: Job, report: PageReport, { toLookAt }: DeliveryNews): PictureFact {
  const page = job.pages.find(({ id }) => id === report.page);
  if (page === undefined) throw new Error(`page ${report.page} is not in the page list`);
  const { trim } = page.spec;
  const small = report.outputs.find(({ product }) => product === 'thumbnail');
  const pathOf = (name: string) =>
    join(localStore(job.folder).pathOf(outputBaseName(job, page), report.key, name));
  return {
    page: report.page,
    numbers: page.numbers,
    aspect: trim.widthMm / trim.heightMm,
    toLookAt: toLookAt.some((one) => one.page === report.page),
    thumbnail: small && pathOf(small.name),
  };
}
