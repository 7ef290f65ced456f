import type { FilePart, Job } from '../../config/job.js';
import type { NoteState } from '../model/page-notes.js';
import type { NoteMistake } from '../rounds/notes-files.js';
import { heldUp } from './held-up.js';
import { planIssue } from './plan.js';
import { type IssueReport, type LeftOutPage, type PageReport, reportOf } from './report.js';
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
  /** Editors' notes in each state, and pages that are accepted as they are. */
  readonly editors: Readonly<Record<NoteState | 'accepted', number>>;
  /** What is wrong in notes files; what else they say counts. */
  readonly noteMistakes: readonly NoteMistake[];
}

/**
 * Looks at a job folder and says where the issue stands. Writes nothing and works on no page.
 * @param now the time to count from, in milliseconds since 1970
 */
export async function readStatus(job: Job, now: number = Date.now()): Promise<IssueStatus> {
  const { reconciliation, runs, caches } = await planIssue(job, {
    pages: undefined,
    products: [],
    lazily: true,
  });
  const report = { ...reportOf(job, reconciliation, runs, []), ...nothingWritten };
  const flatted = report.pages.filter((page) => brings(page, ['flats']));
  const isColoured = (page: PageReport) => brings(page, ['colour', 'whole']);
  return {
    report,
    flatted: flatted.length,
    coloured: report.pages.filter(isColoured).length,
    flatsAhead: flatted.filter((page) => !isColoured(page)).length,
    hoursToDue: job.due === undefined ? undefined : (Date.parse(job.due) - now) / 3_600_000,
    blocking: heldUp(job, report),
    editors: editorsOf(report.pages),
    noteMistakes: caches.notes.mistakes,
  };
}

function editorsOf(pages: readonly PageReport[]): IssueStatus['editors'] {
  const notes = pages.flatMap((page) => page.notes);
  const count = (state: NoteState) => notes.filter((note) => note.state === state).length;
  const accepted = pages.filter(({ acceptance }) => acceptance.state === 'accepted').length;
  return { open: count('open'), answered: count('answered'), closed: count('closed'), accepted };
}

function brings({ files }: PageReport, parts: readonly FilePart[]): boolean {
  return files.some(({ part }) => parts.includes(part));
}
