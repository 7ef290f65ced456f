import type { PageReport } from '../../pipeline/index.js';
import { isDeliverable } from '../../pipeline/issue/report.js';
import type { LedgerRecord } from '../daemon/ledger-lines.js';

/** How quickly pages get done, and when the last one will be at this pace. What the ledger knows, counted; no promise. */
export interface Pace {
  /** Pages that got their press files for the first time within the days counted. */
  readonly finished: number;
  /** Days counted, from the first line of the ledger that speaks of a page or from a week ago, until now; at least one. */
  readonly days: number;
  /** Finished pages over days. */
  readonly pagesADay: number;
  /** Pages that are still to be made; held ones are nobody's work just now. */
  readonly left: number;
  /** When the last of them will be done, as ISO 8601 in UTC; undefined where none is left, or none was finished. */
  readonly lastDoneAt: string | undefined;
  /** Hours between then and the due time, negative when that is too late; undefined without either. */
  readonly hoursToSpare: number | undefined;
}

const hourMs = 3_600_000;
const dayMs = 24 * hourMs;

/** Only so many days count: the pace of last month says little about this week. Own choice. */
const longestDays = 7;

/**
 * @param records of the ledger, in its order
 * @param pages of the issue as they are now
 * @param dueMs when the issue is due, in milliseconds since 1970; undefined where job.yaml does not say
 * @returns undefined where the ledger knows of no page that was finished within the days counted
 */
export function paceOf(
  records: readonly LedgerRecord[],
  pages: readonly Pick<PageReport, 'page' | 'state'>[],
  dueMs: number | undefined,
  nowMs: number,
): Pace | undefined {
  const firstMs = Date.parse(records.find(({ page }) => page !== undefined)?.at ?? '');
  if (Number.isNaN(firstMs)) return undefined;
  const sinceMs = Math.max(firstMs, nowMs - longestDays * dayMs);
  const days = Math.max(1, (nowMs - sinceMs) / dayMs);
  const finished = [...firstFinished(records, new Set(pages.map(({ page }) => page))).values()].filter(
    (atMs) => atMs >= sinceMs && atMs <= nowMs,
  ).length;
  if (finished === 0) return undefined;
  const left = pages.filter(({ state }) => !isDeliverable(state) && state !== 'held').length;
  const pagesADay = finished / days;
  const lastMs = left === 0 ? undefined : nowMs + (left / pagesADay) * dayMs;
  const hoursToSpare = lastMs === undefined || dueMs === undefined ? undefined : (dueMs - lastMs) / hourMs;
  const lastDoneAt = lastMs === undefined ? undefined : new Date(lastMs).toISOString();
  return { finished, days, pagesADay, left, lastDoneAt, hoursToSpare };
}

/** When each page of the list got its press files for the first time: a later version of it is no further page. */
function firstFinished(
  records: readonly LedgerRecord[],
  listed: ReadonlySet<string>,
): ReadonlyMap<string, number> {
  const found = new Map<string, number>();
  for (const { kind, page, state, products, at } of records) {
    if (kind !== 'result' || page === undefined || !listed.has(page) || found.has(page)) continue;
    if (state !== 'stopped' && products?.includes('press')) found.set(page, Date.parse(at));
  }
  return found;
}
