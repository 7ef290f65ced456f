import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { PageReport } from '../issue/report.js';
import { issueProducts } from '../outputs/issue-products.js';
import { bundlePathOf } from '../outputs/products.js';
import { localStore } from '../store/local-store.js';
import type { BundleFile } from './bag-entries.js';
import { deliveryTexts } from './delivery-facts.js';
import type { DeliveryNews } from './delivery-news.js';
import { deliveryRecord } from './delivery-record.js';
import type { DeliveryPlan } from './next-delivery.js';
import type { ReceiverFacts } from './receiver-facts.js';
import { receiverNote } from './receiver-note.js';
import { nothingToPrint } from './refusals.js';

/** What a delivery is packed from: the files of its pages, the contact sheet, its own texts, the lines of bag-info.txt. */

/** The files of the pages, from the store: those in press/ and plates/ may have been written to by hand. */
export function pageFiles(job: Job, pages: readonly PageReport[]): BundleFile[] {
  const store = localStore(job.folder);
  return pages.flatMap((report) => {
    if (!report.outputs.some(({ role }) => role === 'composite')) throw nothingToPrint(report.page);
    const page = job.pages.find(({ id }) => id === report.page);
    if (page === undefined) throw new Error(`page ${report.page} is not in the page list`);
    const baseName = outputBaseName(job, page);
    return report.outputs.flatMap((output) => {
      const path = bundlePathOf(output, job.delivery.files);
      if (path === undefined) return [];
      return [
        { path, source: { file: store.pathOf(baseName, report.key, output.name) }, sha256: output.sha256 },
      ];
    });
  });
}

/** The record for programs and the note for people. */
export function textFiles(
  job: Job,
  plan: DeliveryPlan,
  news: DeliveryNews,
  pages: readonly PageReport[],
  facts: ReceiverFacts,
): BundleFile[] {
  const record = `${JSON.stringify(deliveryRecord(job, plan, news, pages), null, 2)}\n`;
  return [
    { path: deliveryTexts.record, source: { bytes: Buffer.from(record) } },
    { path: deliveryTexts.note, source: { bytes: Buffer.from(receiverNote(facts)) } },
  ];
}

/** The contact sheet as it was when the pages were looked at: what a daemon draws meanwhile shows other pages. */
export function sheetFile(png: Uint8Array | undefined) {
  const path = issueProducts.contactSheet.bundlePath;
  return png === undefined || path === undefined ? [] : [{ path, source: { bytes: png } }];
}

/** RFC 8493 section 2.2.2 reserves these labels; Bagging-Date is YYYY-MM-DD. */
export function bagInfo(job: Job, plan: DeliveryPlan, reason: string | undefined): [string, string][] {
  const about = job.number === undefined ? job.title : `${job.title}, number ${job.number}`;
  const kinds = {
    whole: '',
    partial: `. Partial delivery: ${reason}`,
    supplement: `. Supplement to ${plan.builtOn[0]?.name}`,
  };
  return [
    ['Bagging-Date', plan.date],
    ['External-Identifier', plan.name],
    ['External-Description', about],
    ['Bag-Group-Identifier', job.issue],
    ['Internal-Sender-Description', `Delivery ${plan.number}${kinds[plan.kind]}`],
  ];
}
