import { rm } from 'node:fs/promises';
import { basename, join } from 'node:path';
import type { Job } from '../../config/job.js';
import { makeFolder, placeWhole } from '../files/atomic.js';
import { issuePdfPlans, standingIssuePdf, writeIssuePdf } from '../issue/issue-pdf.js';
import type { PageReport } from '../issue/report.js';
import type { BundleFile } from './bag-entries.js';

/** A PDF of many pages as it goes into a bundle. */
export type DeliveredPdf = BundleFile & { readonly sha256: string };

/**
 * The PDFs of just those pages that are delivered, in a folder of their own while `use` works with them: what stands in pdf/ may be
 * made anew meanwhile. One that stands there and holds the same is not made again.
 * @param pages that are delivered, each in the version that goes out
 * @param use is given them with their checksums, in the order of their pages; none where the job wants none
 * @throws PlatehandError `write-failed`, `pdf-too-large`, `pdf-unreadable`, and what `use` throws
 */
export async function withDeliveredPdfs<T>(
  job: Job,
  pages: readonly PageReport[],
  use: (pdfs: readonly DeliveredPdf[]) => Promise<T>,
): Promise<T> {
  const folder = join(job.folder, '.platehand', `delivery-pdf.${process.pid}`);
  const plans = issuePdfPlans(job, pages);
  if (plans.length === 0) return use([]);
  try {
    await makeFolder(folder);
    const pdfs: DeliveredPdf[] = [];
    for (const plan of plans) {
      const file = join(folder, basename(plan.path));
      const stands = await standingIssuePdf(job.folder, plan);
      if (stands !== undefined) await placeWhole(join(job.folder, plan.path), file);
      const { sha256 } = stands ?? (await writeIssuePdf(plan, file));
      pdfs.push({ path: plan.path, source: { file }, sha256 });
    }
    return await use(pdfs);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
