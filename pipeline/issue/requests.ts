import { join } from 'node:path';
import { inkPart } from '../../config/extra-ink.js';
import { type IssuePage, type Job, parts } from '../../config/job.js';
import { halvesOf, outputBaseName } from '../../config/job-file/naming.js';
import type { Press } from '../../config/press.js';
import { identityOf, unreadable } from '../files/file-identity.js';
import type { PageNotes } from '../model/page-notes.js';
import type { FileIdentity, PageRequest, UnhashedFile, UnhashedRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import type { MatchedFile, PageMatch } from '../model/reconciliation.js';
import type { KeyedRequest } from '../outputs/settings.js';
import { pageKeys } from '../page/page-key.js';
import { checkFileSize } from '../reading/read-limits.js';
import type { FileHashes } from '../store/file-hashes.js';

/** A page of the page list with the files that were matched to it. */
export interface MatchedPage {
  readonly page: IssuePage;
  readonly match: PageMatch;
  /** What editors wrote about it; undefined where nobody has. */
  readonly notes?: PageNotes | undefined;
}

/** A file of a page, as it is on the disk now. */
type SeenFile = Omit<UnhashedFile, 'sha256'>;

/**
 * The files that a page is made from, or of one that waits those that are there, each looked at once.
 * @param listed what a listing of just now says of them, by name: those are not looked at again
 * @throws PlatehandError `picture-unreadable`, `picture-too-large`
 */
export async function seenFiles(
  job: Job,
  match: PageMatch,
  listed?: ReadonlyMap<string, FileIdentity>,
): Promise<readonly SeenFile[]> {
  const files: SeenFile[] = [];
  for (const { path, ...file } of workedFiles(job, match)) {
    const seen = listed?.get(file.name) ?? (await identityNow(path, file.name));
    checkFileSize(seen.bytes, file.name);
    files.push({ ...file, bytes: seen.bytes, local: { path, seen } });
  }
  return files;
}

/** @throws PlatehandError `picture-unreadable` */
async function identityNow(path: string, name: string): Promise<FileIdentity> {
  try {
    return await identityOf(path);
  } catch (thrown) {
    throw unreadable(name, thrown);
  }
}

/**
 * The request for a page whose files are read, and whose keys are found, by whoever works on it.
 * @returns undefined where the checksums of all files are known already
 */
export function unhashedRequest(
  job: Job,
  { page, match, notes }: MatchedPage,
  seen: readonly SeenFile[],
  hashes: FileHashes,
  products: readonly ProductName[],
): UnhashedRequest | undefined {
  if (seen.every(({ local }) => hashes.without(local.path, local.seen) !== undefined)) return undefined;
  const files = seen.map((file) => ({ ...file, sha256: undefined }));
  return {
    ...frameOf(job, page, match),
    ...inksOf(job, seen),
    ...notesOf(notes),
    files,
    key: undefined,
    products,
    outFolder: undefined,
  };
}

/**
 * The request for a page with its keys and nothing to make yet.
 * @throws PlatehandError `picture-unreadable`, `picture-too-large`
 */
export async function keyedRequest(
  job: Job,
  { page, match, notes }: MatchedPage,
  seen: readonly SeenFile[],
  hashes: FileHashes,
  press: Press,
): Promise<PageRequest> {
  const files: KeyedRequest['files'][number][] = [];
  for (const { local, ...file } of seen) {
    const { path } = local;
    const {
      bytes,
      sha256,
      seen: now,
    } = await hashes.of(path, local.seen).catch((thrown: unknown) => {
      throw unreadable(file.name, thrown);
    });
    files.push({ ...file, bytes, sha256, local: { path, seen: now } });
  }
  const keyed = { ...frameOf(job, page, match), ...inksOf(job, files), ...notesOf(notes), files };
  return { ...keyed, ...pageKeys(keyed, press), products: [], outFolder: undefined };
}

/** Whether there is work on a page: it is ready, or it waits, and what is there can be inspected meanwhile. */
export function isWorkedOn(match: PageMatch): boolean {
  const { state } = match;
  return state === 'ready' || (state === 'waiting' && match.files.some((file) => isInspected(file, match)));
}

/** Whether a file says something before its page is complete: one half of a spread does not, nor does a varnish by itself. */
function isInspected({ part, half }: MatchedFile, { files }: PageMatch): boolean {
  const isPart = part === 'whole' || parts.some((one) => one === part);
  return isPart && (half === undefined || files.filter((file) => file.part === part).length === 2);
}

/** Flats are work in progress: nothing that prints depends on them, so they are looked at only while their page waits. */
function workedFiles(job: Job, match: PageMatch) {
  const isReady = match.state === 'ready';
  const worked = match.files.filter((file) => (isReady ? file.part !== 'flats' : isInspected(file, match)));
  return worked.map(({ name, part, half, version, picture }) => {
    const file = { name, part, ...(half === undefined ? {} : { half }), version, picture };
    return { ...file, path: join(job.folder, 'incoming', name) };
  });
}

/** The extra inks of which files bring the plates. */
function inksOf({ extraInks }: Job, files: readonly Pick<SeenFile, 'part'>[]) {
  const own = extraInks.filter(({ id }) => files.some(({ part }) => part === inkPart(id)));
  return own.length === 0 ? {} : { extraInks: own };
}

/** Notes that nobody has closed: the others show on no proof. */
function notesOf(written: PageNotes | undefined): Pick<PageRequest, 'notes'> {
  const notes = written?.notes.filter(({ closedBy }) => closedBy === undefined) ?? [];
  return notes.length === 0 ? {} : { notes };
}

/** What a page's request holds besides its files. */
function frameOf(job: Job, listed: IssuePage, { state, missing }: PageMatch) {
  const awaits = state === 'ready' ? {} : { awaits: missing };
  const page = missing.includes('line') ? withoutLift(listed) : listed;
  const { issue, title, units, scenes } = job;
  const partWords = layerWords(job);
  const scene = scenes.find(({ id }) => id === page.scene)?.title;
  const baseName = outputBaseName(job, page);
  const halves = halvesOf(page).map((half) => outputBaseName(job, half));
  const names = { baseName, ...(halves.length === 0 ? {} : { halfNames: halves }) };
  return { issue, title, scene, units, page, partWords, ...awaits, ...names };
}

/** Words of jobs that were found before: keys of 2,000 pages are taken from one list, which is written out once. */
const knownWords = new WeakMap<Job, KeyedRequest['partWords']>();

/** The words that tell layers. Those of extra inks tell files, never layers: pages without such files do not depend on them. */
function layerWords(job: Job): KeyedRequest['partWords'] {
  const { colour, line, lettering, flats } = job.partWords;
  const words = knownWords.get(job) ?? { colour, line, lettering, flats };
  knownWords.set(job, words);
  return words;
}

/** A page whose line is still to come: its colour has none to be lifted. */
function withoutLift(page: IssuePage): IssuePage {
  const { spec } = page;
  return { ...page, spec: { ...spec, line: { ...spec.line, liftFromFlat: false } } };
}
