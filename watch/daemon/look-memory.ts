import type { Job } from '../../config/job.js';
import type { PageRun } from '../../pipeline/issue/page-run.js';
import type { PageNotes } from '../../pipeline/model/page-notes.js';
import type { PageMatch } from '../../pipeline/model/reconciliation.js';
import { type IncomingListing, listAgain, listIncoming } from '../../pipeline/names/incoming.js';
import type { SettlingTable } from './settling.js';

/** What is remembered from one look to the next, so that a look costs what has changed. */

/** What incoming/ holds, listed again and again: where it is known what may have changed, only that is looked at. */
export class FolderListing {
  private last: IncomingListing | undefined;

  /**
   * @param folder path of incoming/
   * @param unsettled names of files that may change without anybody telling
   * @param touched names of files that may have changed besides; undefined where it may be any
   * @throws PlatehandError `job-missing`
   */
  async list(
    folder: string,
    unsettled: readonly string[],
    touched: ReadonlySet<string> | undefined,
  ): Promise<IncomingListing> {
    const { last } = this;
    const isKnown = last !== undefined && touched !== undefined;
    const again = isKnown ? await listAgain(folder, last, new Set([...touched, ...unsettled])) : undefined;
    this.last = again ?? (await listIncoming(folder));
    return this.last;
  }
}

/** What a page would be planned from now, as a text to compare: as long as job.yaml and this stay, so does the plan. */
export function plannedFrom(
  match: PageMatch,
  table: Pick<SettlingTable, 'identityOf'>,
  notes: PageNotes | undefined,
): string {
  return JSON.stringify([match, match.files.map(({ name }) => table.identityOf(name)), notes]);
}

/**
 * What pages that have nothing to do were planned from. As long as that stays, looks in between need not ask the disk for them again; full
 * looks do, since somebody may have been at the store.
 */
export class SettledPlans {
  private readonly from = new Map<string, string>();
  private job: Job | undefined;

  /** Begins a look. @param isFull plans every page anew, as another job.yaml does */
  begin(job: Job, isFull: boolean): void {
    if (isFull || this.job !== job) this.from.clear();
    this.job = job;
  }

  /** Whether a page stands as it was planned before. @param from what it would be planned from now */
  stands(run: PageRun | undefined, from: string): run is PageRun {
    return run !== undefined && hasNothingToDo(run) && this.from.get(run.page.id) === from;
  }

  /** Remembers what a page was planned from, if it has nothing to do. @returns the page */
  noted(run: PageRun, from: string): PageRun {
    if (hasNothingToDo(run)) this.from.set(run.page.id, from);
    return run;
  }
}

function hasNothingToDo({ stored, request, failure }: PageRun): boolean {
  return stored !== undefined && request === undefined && failure === undefined;
}
