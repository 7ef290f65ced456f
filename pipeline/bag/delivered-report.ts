import { createHash } from 'node:crypto';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { IssueReport } from '../issue/report.js';
import { forReceiver, reportData } from '../issue/report-data.js';
import { issueProducts } from '../outputs/issue-products.js';
import { pathOf } from '../outputs/products.js';
import { localStore } from '../store/local-store.js';
import type { BundleFile } from './bag-entries.js';

/** A file of the report, ready to be packed, with its checksum. */
export type DeliveredReportFile = BundleFile & { readonly sha256: string };

/**
 * The report as it goes out: made of what is delivered and not taken from the job folder, where a daemon may be writing one of newer pages.
 * Its pictures come from the store, also those of pages that are left out.
 */
export async function deliveredReport(job: Job, report: IssueReport): Promise<DeliveredReportFile[]> {
  const data = reportData(job, forReceiver(report));
  const files: DeliveredReportFile[] = [];
  for (const { bundlePath, make } of [issueProducts.report, issueProducts.reportJson]) {
    if (bundlePath === undefined) continue;
    const bytes = await make(data);
    files.push({
      path: bundlePath,
      source: { bytes },
      sha256: createHash('sha256').update(bytes).digest('hex'),
    });
  }
  return [...files, ...pictureFiles(job, report)];
}

function pictureFiles(job: Job, { pages }: IssueReport): DeliveredReportFile[] {
  const store = localStore(job.folder);
  return pages.flatMap(({ page, key, outputs }) => {
    const listed = job.pages.find(({ id }) => id === page);
    if (listed === undefined) return [];
    return outputs.flatMap((output): DeliveredReportFile[] => {
      const path = output.product === 'views' ? pathOf(output) : undefined;
      if (path === undefined) return [];
      const file = store.pathOf(outputBaseName(job, listed), key, output.name);
      return [{ path, source: { file }, sha256: output.sha256 }];
    });
  });
}
