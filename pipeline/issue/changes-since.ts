import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import type { PageComparison } from '../rounds/compare-page.js';
import { type RoundRecord, readRounds } from '../rounds/round-record.js';
import type { PageReport } from './report.js';
import { comparePages, type StatesOfPage, statesSinceRound } from './since-round.js';

/**
 * What the report tells of review rounds: how each page differs from what the last round has frozen or, where it does not, from the
 * round before that, so that an editor who reads the newest round sees what it has brought.
 */

/** A page that differs from a round. */
export interface ChangeSince {
  readonly round: number;
  readonly comparison: PageComparison;
}

/** Verdicts of which there is nothing to show. */
const quiet: ReadonlySet<PageComparison['verdict']> = new Set(['unchanged', 'absent']);

/**
 * The pages that differ from the last two rounds, by id; none where there is no round that can be read.
 * @param measures whether to measure what is not remembered; otherwise it is only told that the page is another
 * @throws PlatehandError `write-failed`
 */
export async function changesSince(
  job: Job,
  reports: readonly PageReport[],
  measures: boolean,
): Promise<ReadonlyMap<string, ChangeSince>> {
  const changes = new Map<string, ChangeSince>();
  for (const round of (await roundsThatCanBeRead(job)).toReversed()) {
    const states = statesSinceRound(job, round, reports).filter((state) => isOpen(state, changes));
    for (const comparison of await comparePages(job, states, measures)) {
      if (!quiet.has(comparison.verdict)) changes.set(comparison.page, { round: round.round, comparison });
    }
  }
  return changes;
}

/** A damaged record is told by the commands that are about rounds; a run goes on without. */
async function roundsThatCanBeRead({ folder }: Job): Promise<readonly RoundRecord[]> {
  return readRounds(folder, 2).catch((thrown: unknown) => {
    if (thrown instanceof PlatehandError) return [];
    throw thrown;
  });
}

/** A page in the list of which nothing is told yet. */
function isOpen({ id, page }: StatesOfPage, changes: ReadonlyMap<string, ChangeSince>): boolean {
  return page !== undefined && !changes.has(id);
}
