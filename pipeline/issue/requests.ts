import { join } from 'node:path';
import { inkPart } from '../../config/extra-ink.js';
import type { IssuePage, Job } from '../../config/job.js';
import { halvesOf, outputBaseName } from '../../config/job-file/naming.js';
import type { Press } from '../../config/press.js';
import { identityOf, unreadable } from '../files/file-identity.js';
import type { PageRequest, UnhashedFile, UnhashedRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import type { MatchedFile } from '../model/reconciliation.js';
import type { KeyedRequest } from '../outputs/settings.js';
import { pageKeys } from '../page/page-key.js';
import { checkFileSize } from '../reading/read-limits.js';
import type { FileHashes } from '../store/file-hashes.js';

/** A file of a page that prints, as it is on the disk now. */
type SeenFile = Omit<UnhashedFile, 'sha256'>;

/**
 * The files that a page is made from, each looked at once.
 * @throws PlatehandError `picture-unreadable`, `picture-too-large`
 */
export async function seenFiles(job: Job, matched: readonly MatchedFile[]): Promise<readonly SeenFile[]> {
  const files: SeenFile[] = [];
  for (const { path, ...file } of printingFiles(job, matched)) {
    const seen = await identityOf(path).catch((thrown: unknown) => {
      throw unreadable(file.name, thrown);
    });
    checkFileSize(seen.bytes, file.name);
    files.push({ ...file, bytes: seen.bytes, local: { path, seen } });
  }
  return files;
}

/**
 * The request for a page whose files are read, and whose keys are found, by whoever works on it.
 * @returns undefined where the checksums of all files are known already
 */
export function unhashedRequest(
  job: Job,
  page: IssuePage,
  seen: readonly SeenFile[],
  hashes: FileHashes,
  products: readonly ProductName[],
): UnhashedRequest | undefined {
  if (seen.every(({ local }) => hashes.without(local.path, local.seen) !== undefined)) return undefined;
  const files = seen.map((file) => ({ ...file, sha256: undefined }));
  return {
    ...frameOf(job, page),
    ...inksOf(job, seen),
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
  page: IssuePage,
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
  const keyed = { ...frameOf(job, page), ...inksOf(job, files), files };
  return { ...keyed, ...pageKeys(keyed, press), products: [], outFolder: undefined };
}

/** Flats are work in progress: nothing that prints depends on them. */
function printingFiles(job: Job, matched: readonly MatchedFile[]) {
  return matched.flatMap(({ name, part, half, version, picture }) => {
    if (part === 'flats') return [];
    const file = { name, part, ...(half === undefined ? {} : { half }), version, picture };
    return [{ ...file, path: join(job.folder, 'incoming', name) }];
  });
}

/** The extra inks of which files bring the plates. */
function inksOf({ extraInks }: Job, files: readonly Pick<SeenFile, 'part'>[]) {
  const own = extraInks.filter(({ id }) => files.some(({ part }) => part === inkPart(id)));
  return own.length === 0 ? {} : { extraInks: own };
}

/** What a page's request holds besides its files. */
function frameOf(job: Job, page: IssuePage) {
  const { issue, title, units, scenes } = job;
  // Words of extra inks tell files, never layers: pages without such files do not depend on them.
  const { colour, line, lettering, flats } = job.partWords;
  const partWords = { colour, line, lettering, flats };
  const scene = scenes.find(({ id }) => id === page.scene)?.title;
  const baseName = outputBaseName(job, page);
  const halves = halvesOf(page).map((half) => outputBaseName(job, half));
  const names = { baseName, ...(halves.length === 0 ? {} : { halfNames: halves }) };
  return { issue, title, scene, units, page, partWords, ...names };
}
