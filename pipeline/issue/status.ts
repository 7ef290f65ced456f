import type { FilePart, Job } from '../../config/job.js';
import { planIssue } from './plan.js';
import { type IssueReport, type LeftOutPage, notDeliverable, type PageReport, reportOf } from './report.js';
import { nothingWritten } from './report-update.js';

/** Where an issue stands, without any page work. */
export interface IssueStatus {
  readonly report: IssueReport;
  /** Pages of which flats arrived. */
  readonly flatted: number;
  /** Pages of which the colour arrived. */
  readonly coloured: number;
  /** Pages of which flats arrived and no colour yet: so far the flats are ahead. */
  readonly flatsAhead: number;
  /** Hours until the issue is due, negative when it is late; undefined when job.yaml states no time. */
  readonly hoursToDue: number | undefined;
  /** Pages that keep the issue from being delivered, with why. */
  readonly blocking: readonly LeftOutPage[];
}

/**
 * Looks at a job folder and says where the issue stands. Writes nothing and works on no page.
 * @param now the time to count from, in milliseconds since 1970
 */
export async function readStatus(job: Job, now: number = Date.now()): Promise<IssueStatus> {
  const { reconciliation, runs } = await planIssue(job, { pages: undefined, products: [], lazily: true });
  const report = { ...reportOf(job, reconciliation, runs, []), ...nothingWritten };
  const flatted = report.pages.filter((page) => brings(page, ['flats']));
  const isColoured = (page: PageReport) => brings(page, ['colour', 'whole']);
  return {
    report,
    flatted: flatted.length,
    coloured: report.pages.filter(isColoured).length,
    flatsAhead: flatted.filter((page) => !isColoured(page)).length,
    hoursToDue: job.due === undefined ? undefined : (Date.parse(job.due) - now) / 3_600_000,
    blocking: notDeliverable(report),
  };
}

function brings({ files }: PageReport, parts: readonly FilePart[]): boolean {
  return files.some(({ part }) => parts.includes(part));
}
