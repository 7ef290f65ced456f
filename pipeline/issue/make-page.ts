import { join } from 'node:path';
import { exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { isDiskTrouble, writeFailed } from '../files/disk-trouble.js';
import { identityOf, sameIdentity } from '../files/file-identity.js';
import { type Finding, onPage } from '../model/findings.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult, ProductName } from '../model/page-result.js';
import type { PageRunner } from '../runner/page-runner.js';
import { localStore } from '../store/local-store.js';
import { withLock } from '../store/lock.js';
import { readPlaced } from '../store/placed.js';
import type { StoredResult } from '../store/result-store.js';
import { lastGoodOf, placePage } from './last-good.js';
import type { PageRun } from './page-run.js';
import { versionChanges } from './version-changes.js';

export interface PageWorkOptions {
  /** Drops the work: a page in hand is given up, and nothing of it is stored. */
  readonly signal?: AbortSignal | undefined;
  /**
   * Looks at a finished page before it is stored and says which products it counts as made; undefined stores nothing of
   * it. By default those that were asked for.
   */
  readonly storesAs?: (result: PageResult) => readonly ProductName[] | undefined;
  /** All pages of the issue as they are when this one is made: one may own what a new version shows. Default none. */
  readonly runs?: () => readonly PageRun[];
  /** When the issue is due, in milliseconds since 1970; infinity, the default, is never. */
  readonly dueMs?: number;
}

/** What became of a page; `stored` is undefined when nothing was to be stored. */
export interface MadePage {
  readonly result: PageResult;
  readonly stored: StoredResult | undefined;
}

/**
 * Prepares one page, stores its result and puts its files into place. What an older result has of it is taken over from there.
 * @throws PlatehandError `picture-changed` when a file was changed meanwhile, `write-failed`, `page-process`; the
 *   signal's reason when the work was dropped; anything else is a fault of the program
 */
export async function makePage(
  job: Job,
  request: PageRequest | UnhashedRequest,
  runner: PageRunner,
  options: PageWorkOptions = {},
): Promise<MadePage> {
  const { signal } = options;
  const { baseName } = request;
  const store = localStore(job.folder);
  const folder = await onDisk(job.folder, () => store.open(baseName, request.key));
  try {
    const result = await runner.run({ ...request, outFolder: folder }, signal, options.dueMs);
    await checkUnchanged(request);
    const asked = options.storesAs === undefined ? request.products : options.storesAs(result);
    if (asked === undefined) return { result, stored: undefined };
    const runs = options.runs?.() ?? [];
    const standing = await lastGoodOf(job, request.page, undefined, runs, await readPlaced(job.folder));
    const versions = await versionChanges(store, standing ?? (await store.newest(baseName)), result);
    const stored = await onDisk(job.folder, () =>
      whileLocked(job.folder, async () => {
        signal?.throwIfAborted();
        const stored = await store.store(baseName, folder, result, asked, versions, standing?.result.key);
        await placePage(job, request.page, stored, options.runs?.() ?? []);
        return stored;
      }),
    );
    return { result, stored };
  } finally {
    // Once stored it has another name, and there is nothing left to remove.
    await store.discard(folder).catch(() => undefined);
  }
}

/** The key speaks of the bytes that were there when it was taken: what was read since must be the same. */
async function checkUnchanged({ files, page }: PageRequest | UnhashedRequest): Promise<void> {
  for (const { name, local } of files) {
    const now = await identityOf(local.path).catch(() => undefined);
    if (now !== undefined && sameIdentity(local.seen, now)) continue;
    throw new PlatehandError(
      'picture-changed',
      now === undefined
        ? 'The file went away while it was worked on'
        : 'The file changed while it was worked on',
      'Wait until it is written to its end, then run again.',
      { place: { file: name, page: page.id }, exitCode: exitCode.attention },
    );
  }
}

/** Why the work on a page failed, as a finding on it. */
export function failureOf(page: string, thrown: unknown): Finding {
  if (thrown instanceof PlatehandError) {
    const { code, what, remedy, place } = thrown;
    const isOutput = code === 'write-failed' || code === 'name-too-long';
    const message = isOutput ? `${what} (${outputName(place.file)})` : what;
    return onPage(page, { code, severity: 'stop', message, remedy, ...(fileOf(place.file) ?? {}) });
  }
  return onPage(page, {
    code: 'page-process',
    severity: 'stop',
    message: `The work on the page failed: ${messageOf(thrown)}`,
    remedy:
      'This is a fault of platehand; report it with this message. The other pages are not touched by it.',
  });
}

/** Folder and name of a file that could not be written; what lies deeper is our own business. */
function outputName(path: string | undefined): string {
  const parts = (path ?? '').split(/[\\/]/);
  return parts.includes('.platehand') ? '.platehand' : parts.slice(-2).join('/');
}

/** The working file that a failure speaks of; paths of other files stay out of findings. */
function fileOf(file: string | undefined): { file: string } | undefined {
  return file === undefined || file.startsWith('/') || file.includes(':') ? undefined : { file };
}

/** Turns what the system says about the disk into a refusal that says what to do. */
async function onDisk<T>(path: string, action: () => Promise<T>): Promise<T> {
  try {
    return await action();
  } catch (thrown) {
    throw isDiskTrouble(thrown) ? writeFailed(path, thrown) : thrown;
  }
}

/** How long one process waits for another to put its files into place. */
const placeWaitMs = 60_000;

/** Results and placed files change under a lock, so that a run beside a daemon, or two runs, do not mix theirs. */
export async function whileLocked<T>(jobFolder: string, change: () => Promise<T>): Promise<T> {
  return withLock(join(jobFolder, '.platehand', 'place.lock'), 'placing files', placeWaitMs, change);
}
