import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { PageMatch } from '../model/reconciliation.js';
import { newestUsed } from '../store/results.js';

/**
 * Pages of which nobody can tell what they are made of, because something in incoming/ cannot be looked at: those that
 * lack a file, which may be there, and those whose newest result was made from a file that is there.
 * @param matches one a page of the page list, in its order
 * @param isHidden whether a file, by its name below incoming/, cannot be looked at
 * @returns for each such page the file that is hidden, or undefined where it only may be
 */
export async function unsurePages(
  job: Job,
  matches: readonly PageMatch[],
  isHidden: (name: string) => boolean,
): Promise<Map<string, string | undefined>> {
  const unsure = new Map<string, string | undefined>();
  for (const [index, page] of job.pages.entries()) {
    const { state } = matches[index];
    if (state === 'held' || state === 'contested') continue;
    const hidden = (await newestUsed(job.folder, outputBaseName(job, page))).find(isHidden);
    if (hidden !== undefined || state === 'missing') unsure.set(page.id, hidden);
  }
  return unsure;
}
