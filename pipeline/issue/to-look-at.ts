import { dayIn } from '../../config/calendar-day.js';
import type { Job } from '../../config/job.js';
import { type Finding, worstFirst } from '../model/findings.js';
import type { IssueReport, PageReport } from './report.js';
import { isAboutVersions } from './version-findings.js';

/** What somebody should know before an issue goes out, although nothing of it keeps it in. */

/** A page that may be delivered and that somebody should look at, with the gravest of what was found on it. */
export interface PageToLookAt {
  readonly page: string;
  /** Code of the finding. */
  readonly code: string;
  /** One sentence: what was found. */
  readonly message: string;
  /** How many other findings of the page ask for a look. */
  readonly more: number;
}

/** The pages that ask for a look, in reading order. */
export function pagesToLookAt({ pages }: Pick<IssueReport, 'pages'>): PageToLookAt[] {
  return pages.filter((page) => page.state === 'attention' && toTell(page).length > 0).map(toLookAt);
}

/** What tells of the versions before stays at home: the same pages make the same delivery, whatever was there before. */
function toTell({ findings }: PageReport): Finding[] {
  return worstFirst(findings).filter((one) => one.severity !== 'note' && !isAboutVersions(one));
}

function toLookAt(report: PageReport): PageToLookAt {
  const { page } = report;
  const [first, ...others] = toTell(report);
  return { page, code: first?.code ?? '', message: first?.message ?? '', more: others.length };
}

/** One line of it, for people: `page 3: the line is grey (line-grey; and 1 more)`. */
export function lookWords({ page, code, message, more }: PageToLookAt): string {
  return `page ${page}: ${message} (${code}${more === 0 ? '' : `; and ${more} more`})`;
}

/**
 * Whether the due time has passed, with it as job.yaml states it; undefined when it has not, or when there is none.
 * @param at a moment in milliseconds since 1970, or a whole day, which is late only after the day on which it was due
 */
export function passedDue(
  { due, delivery }: Pick<Job, 'due' | 'delivery'>,
  at: number | string,
): string | undefined {
  if (due === undefined) return undefined;
  const dueMs = Date.parse(due);
  const isLate = typeof at === 'number' ? at > dueMs : at > dayIn(delivery.timeZone, dueMs);
  return isLate ? due : undefined;
}
