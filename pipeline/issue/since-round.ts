import type { IssuePage, Job } from '../../config/job.js';
import { openPress } from '../../config/press.js';
import type { PressChoice } from '../../config/print-spec.js';
import type { InkLooks } from '../inks/ink-looks.js';
import { comparePage, type PageComparison } from '../rounds/compare-page.js';
import { ComparisonCache } from '../rounds/comparison-cache.js';
import type { PageState } from '../rounds/page-state.js';
import type { RoundRecord } from '../rounds/round-record.js';
import { stateInRound, stateNow } from './page-states.js';
import type { PageReport } from './report.js';

/** What became of each page since a round, or since whatever else its states come from. */

/** Two states of a page of the list. */
export interface StatesOfPage {
  /** As the page list has it now; undefined for one that it no longer has. */
  readonly page: IssuePage | undefined;
  readonly id: string;
  readonly before: PageState | undefined;
  readonly now: PageState | undefined;
}

/**
 * Compares pages one after the other: two composites and two lines are in memory at a time. What is measured is remembered.
 * @param measures whether to measure what is not remembered; default true
 * @throws PlatehandError `write-failed`, `profile-invalid`
 */
export async function comparePages(
  job: Job,
  states: readonly StatesOfPage[],
  measures = true,
): Promise<PageComparison[]> {
  const known = await ComparisonCache.open(job.folder);
  const presses = new Map<string, Promise<InkLooks>>();
  const compared: PageComparison[] = [];
  for (const { page, id, before, now } of states) {
    const looks = () => looksOf(page, presses);
    const spec = page?.spec ?? { trim: { widthMm: 0, heightMm: 0 } };
    compared.push(await comparePage(id, before, now, { spec, looks, known, measures }));
  }
  await known.save();
  return compared;
}

/** Each press condition is opened once, when the first page that needs it is measured. */
function looksOf(page: IssuePage | undefined, presses: Map<string, Promise<InkLooks>>): Promise<InkLooks> {
  if (page === undefined) throw new Error('a page that is no longer there was to be measured');
  const { press } = page.spec;
  const name = JSON.stringify(press);
  const opened = presses.get(name) ?? openLooks(press);
  presses.set(name, opened);
  return opened;
}

/** The colour engine is loaded when there is something to measure. */
async function openLooks(press: PressChoice): Promise<InkLooks> {
  const { loadProfile } = await import('../../config/press/colour-engine.js');
  const { openInkLooks } = await import('../inks/ink-looks.js');
  return openInkLooks(loadProfile((await openPress(press)).profile));
}

/** The states of the issue's pages in a round and now, in reading order, then pages that the list no longer has. */
export function statesSinceRound(
  job: Job,
  round: RoundRecord,
  reports: readonly PageReport[],
): StatesOfPage[] {
  const byId = new Map(reports.map((report) => [report.page, report]));
  const listed = job.pages.flatMap((page): StatesOfPage[] => {
    const report = byId.get(page.id);
    if (report === undefined) return [];
    const before = stateInRound(job, round, page.id);
    return [{ page, id: page.id, before, now: stateNow(job, page, report) }];
  });
  const left = round.pages.filter(({ page }) => !job.pages.some(({ id }) => id === page));
  const gone = left.map(({ page }) => {
    return { page: undefined, id: page, before: stateInRound(job, round, page), now: undefined };
  });
  return [...listed, ...gone];
}
