import type { IssuePage } from '../../config/job.js';
import type { Finding } from '../model/findings.js';
import type { PageNotes } from '../model/page-notes.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult, VersionChange } from '../model/page-result.js';
import type { PageMatch } from '../model/reconciliation.js';
import type { StoredResult } from '../store/result-store.js';

/** One page in the course of a run, at one moment: what becomes of it is another of the same page, never a change of this one. */
export interface PageRun {
  readonly page: IssuePage;
  readonly match: PageMatch;
  /** What to do; undefined when the page is not ready, or was not asked for. */
  readonly request: PageRequest | UnhashedRequest | undefined;
  /** The result so far, from an earlier run or from this one; it may lack what the request asks for. */
  readonly stored: StoredResult | undefined;
  /**
   * The good result that stands in place although it is not the page as it is now, or stood there until this one was made; undefined
   * where there is none.
   */
  readonly lastGood: StoredResult | undefined;
  /** The result of looking only. */
  readonly inspected: PageResult | undefined;
  /** What became of its parts since they were last made, where it was only looked at. */
  readonly inspectedVersions?: readonly VersionChange[];
  /** What editors wrote about it; undefined where nobody has. */
  readonly notes?: PageNotes | undefined;
  /** Why the work itself failed (a crash, a full disk); such a failure is not stored. */
  readonly failure: Finding | undefined;
}

/** A page of which nothing is known but its files, and what editors wrote about it. */
export function pageRun(page: IssuePage, match: PageMatch, notes?: PageNotes): PageRun {
  return {
    page,
    match,
    request: undefined,
    stored: undefined,
    lastGood: undefined,
    inspected: undefined,
    notes,
    failure: undefined,
  };
}

/** The page with the result that was made of it; what stood before stays known, since the new one may turn out to be wrong. */
export function withStored(run: PageRun, stored: StoredResult): PageRun {
  return { ...run, stored };
}

/** The page with what stands in place of it. */
export function withLastGood(run: PageRun, lastGood: StoredResult | undefined): PageRun {
  return { ...run, lastGood };
}

/** The page with what looking at it found. */
export function withInspected(
  run: PageRun,
  inspected: PageResult,
  inspectedVersions: readonly VersionChange[],
): PageRun {
  return { ...run, inspected, inspectedVersions };
}

/** The page with the reason why its work failed. */
export function withFailure(run: PageRun, failure: Finding): PageRun {
  return { ...run, failure };
}

/** What a page is made of, or will be as soon as somebody works on it. */
export function filesNow({ request, inspected, stored }: PageRun): readonly { readonly sha256: string }[] {
  const { key, files } = request ?? {};
  return key === undefined || files === undefined ? ((inspected ?? stored?.result)?.used ?? []) : files;
}

/** Pages, or files, that are looked at side by side: each asks the disk two dozen things, and most of its time is waiting. */
const looksAtOnce = 32;

/**
 * Looks at pages or files side by side, some at a time.
 * @param atOnce how many; default as many as the disk is asked best by
 * @returns what came of each, in their order
 * @throws what the first failing look throws, when those begun beside it have ended; no further ones are begun
 */
export async function lookAtEach<From, To>(
  all: readonly From[],
  look: (one: From) => Promise<To>,
  atOnce = looksAtOnce,
): Promise<To[]> {
  const seen: To[] = new Array(all.length);
  let next = 0;
  const lookOn = async () => {
    try {
      for (let at = next++; at < all.length; at = next++) seen[at] = await look(all[at]);
    } catch (thrown) {
      next = all.length;
      throw thrown;
    }
  };
  const looks = await Promise.allSettled(Array.from({ length: atOnce }, lookOn));
  for (const ended of looks) if (ended.status === 'rejected') throw ended.reason;
  return seen;
}

/** The pages in their order, each as it is among the newer ones, if it is there. */
export function withNewer(runs: readonly PageRun[], newer: readonly PageRun[]): readonly PageRun[] {
  const byId = new Map(newer.map((run) => [run.page.id, run]));
  return runs.map((run) => byId.get(run.page.id) ?? run);
}
