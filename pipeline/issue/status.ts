import type { Job } from '../../config/job.js';
import { planIssue } from './plan.js';
import { type IssueReport, type LeftOutPage, notDeliverable, reportOf } from './report.js';

/** Where an issue stands, without any page work. */
export interface IssueStatus {
  readonly report: IssueReport;
  /** Pages of which flats arrived, or more than flats. */
  readonly flatted: number;
  /** Pages of which the colour arrived. */
  readonly coloured: number;
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
  const report = { ...reportOf(job, reconciliation, runs, []), contactSheet: undefined };
  const brings = (parts: readonly string[]) =>
    report.pages.filter(({ files }) => files.some(({ part }) => parts.includes(part))).length;
  return {
    report,
    flatted: brings(['flats', 'colour', 'whole']),
    coloured: brings(['colour', 'whole']),
    hoursToDue: job.due === undefined ? undefined : (Date.parse(job.due) - now) / 3_600_000,
    blocking: notDeliverable(report),
  };
}
