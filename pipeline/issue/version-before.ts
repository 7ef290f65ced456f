import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { onPage } from '../model/findings.js';
import { madeOf, whatEditorsSay } from '../model/page-notes.js';
import type { NoteBook } from '../rounds/note-book.js';
import { localStore } from '../store/local-store.js';
import { isDeliverable, type PageReport } from './report.js';

/**
 * Pages whose newest version cannot be printed, taken in the version before because somebody asked for just that. Every page that can be
 * printed as it is stays as it is.
 * @param asked ids of the pages that may go out so
 * @param book what editors wrote
 * @returns the pages of the report, these as they were
 * @throws PlatehandError `wrong-use` for a page that has no version before to fall back on
 */
export async function withVersionsBefore(
  job: Job,
  pages: readonly PageReport[],
  asked: readonly string[],
  book: NoteBook,
): Promise<readonly PageReport[]> {
  const taken: PageReport[] = [];
  for (const page of pages) {
    const isAsked = asked.includes(page.page) && !isDeliverable(page.state);
    taken.push(isAsked ? await versionBefore(job, page, book) : page);
  }
  return taken;
}

async function versionBefore(job: Job, report: PageReport, book: NoteBook): Promise<PageReport> {
  const page = job.pages.find(({ id }) => id === report.page);
  const { standsMeanwhile } = report;
  if (page === undefined || standsMeanwhile === undefined) throw noVersionBefore(report);
  const store = localStore(job.folder);
  const stored = await store.find(outputBaseName(job, page), standsMeanwhile.key);
  if (stored === undefined || !(await store.hasOwnBytes(stored))) throw noVersionBefore(report);
  const { key, condition, measures, used, outputs, findings } = stored.result;
  const note = onPage(report.page, {
    code: 'earlier-version',
    severity: 'warn',
    message: `This is the version before the newest, which cannot be printed: ${report.why}`,
    remedy: 'Deliver the page again as a supplement once its newest version is good.',
  });
  const all = [note, ...findings];
  return {
    ...report,
    ...{ state: 'attention' as const, why: note.message, key, condition, measures, used, outputs },
    findings: all,
    // It may be this version that the editor has accepted.
    ...whatEditorsSay(book.pages.get(report.page), madeOf(used)),
  };
}

function noVersionBefore(report: PageReport): PlatehandError {
  const what = `Page ${report.page} is ${report.state}, and no good version of it stands from before`;
  const remedy = 'Leave it out of --earlier; platehand status names the pages that have one.';
  return new PlatehandError('wrong-use', what, remedy, { place: { page: report.page } });
}

/** The `--earlier` that would deliver what stands of these pages; undefined where nothing does. */
export function earlierOption(pages: readonly PageReport[]): string | undefined {
  const standing = pages.filter((page) => page.standsMeanwhile !== undefined).map(({ page }) => page);
  return standing.length === 0 ? undefined : `--earlier ${standing.join(',')}`;
}
