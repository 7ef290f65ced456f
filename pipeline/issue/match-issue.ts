import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import type { FileIdentity } from '../model/page-request.js';
import type { PageMatch, Reconciliation } from '../model/reconciliation.js';
import { type IncomingListing, isHidden, listIncoming } from '../names/incoming.js';
import { matchNames, readNames } from '../reconcile.js';
import { localStore } from '../store/local-store.js';
import type { PictureLooks } from './picture-looks.js';

/** An issue matched to what its folder holds now. */
export interface MatchedIssue {
  readonly reconciliation: Reconciliation;
  /** Pages of which nobody can tell what they are made of, as unsurePages says. */
  readonly unsure: ReadonlyMap<string, string | undefined>;
  /** The files as they were listed, by name. */
  readonly listed: ReadonlyMap<string, FileIdentity>;
}

/**
 * Matches incoming/ to the page list.
 * @param looks at pictures whose names leave something open
 * @throws PlatehandError for an unreadable folder
 */
export async function matchIssue(job: Job, looks: PictureLooks): Promise<MatchedIssue> {
  const listing = await listIncoming(join(job.folder, 'incoming'));
  const reconciliation = await matchListing(job, listing, looks);
  const hidden = listing.hidden.map(({ name }) => name);
  const unsure =
    hidden.length === 0
      ? new Map<string, string | undefined>()
      : await unsurePages(job, reconciliation.pages, (name) => isHidden(name, hidden));
  return { reconciliation, unsure, listed: identitiesIn(listing) };
}

function identitiesIn({ files }: IncomingListing): ReadonlyMap<string, FileIdentity> {
  const listed = new Map<string, FileIdentity>();
  for (const { name, bytes, mtimeMs, ctimeMs, inode } of files) {
    if (ctimeMs !== undefined && inode !== undefined) listed.set(name, { bytes, mtimeMs, ctimeMs, inode });
  }
  return listed;
}

/**
 * Matches what incoming/ holds to the page list. What was skipped while listing is passed over; what could not be looked
 * at is told with the unknown files, and where pages lack something.
 */
export async function matchListing(
  job: Job,
  { files, skipped, hidden }: IncomingListing,
  looks: PictureLooks,
): Promise<Reconciliation> {
  const read = readNames(job, files);
  const answers = await looks.answersTo(join(job.folder, 'incoming'), files, read.questions);
  const matched = matchNames(read, answers);
  const passedOver = [...matched.passedOver, ...skipped];
  if (hidden.length === 0) return { ...matched, passedOver };
  const where = hidden.map(({ name }) => name).join(', ');
  const pages = matched.pages.map((match) =>
    isLacking(match) ? { ...match, rule: `${match.rule}, unless it is in ${where}` } : match,
  );
  return { ...matched, pages, passedOver, unknown: [...matched.unknown, ...hidden] };
}

/**
 * Pages of which nobody can tell what they are made of, because something in incoming/ cannot be looked at: those that
 * lack a file, which may be there, and those whose newest result was made from a file that is there.
 * @param matches one a page of the page list, in its order
 * @param isOutOfSight whether a file, by its name below incoming/, cannot be looked at
 * @returns for each such page the file that is hidden, or undefined where it only may be
 */
export async function unsurePages(
  job: Job,
  matches: readonly PageMatch[],
  isOutOfSight: (name: string) => boolean,
): Promise<Map<string, string | undefined>> {
  const store = localStore(job.folder);
  const unsure = new Map<string, string | undefined>();
  for (const [index, page] of job.pages.entries()) {
    const match = matches[index];
    if (match.state === 'held' || match.state === 'contested') continue;
    const newest = await store.newest(outputBaseName(job, page));
    const hidden = newest?.result.used.map(({ name }) => name).find(isOutOfSight);
    if (hidden !== undefined || isLacking(match)) unsure.set(page.id, hidden);
  }
  return unsure;
}

function isLacking({ state }: PageMatch): boolean {
  return state === 'missing' || state === 'waiting';
}
