import { rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { clashKey } from '../../config/portable-name.js';
import { makeFolder, placeWhole } from '../files/atomic.js';
import { isAsWritten, standingFiles } from '../files/standing-files.js';
import type { OutputFile } from '../model/page-result.js';
import { pathOf } from '../outputs/products.js';
import { type FilesOfPage, notePlaced, type PlacedFile, placedPages } from './placed-list.js';
import type { StoredResult } from './result-store.js';

/**
 * The files that platehand has put into press/, plates/ and proofs/, by page: so that what no longer holds (a stopped
 * page, another naming pattern) is taken away again, and what stands there already is left alone.
 */
export interface PlacedFiles {
  [page: string]: FilesOfPage;
}

/**
 * Ids of the pages whose files somebody else has placed or taken away since: what was planned before no longer holds for
 * them. Call it under the job's lock.
 * @param before what was in place when the plan was made
 */
export async function overtakenPages(jobFolder: string, before: PlacedFiles): Promise<Set<string>> {
  const now = await readPlaced(jobFolder);
  const pages = new Set([...Object.keys(before), ...Object.keys(now)]);
  for (const page of pages) {
    if (isDeepStrictEqual(before[page], now[page])) pages.delete(page);
  }
  return pages;
}

/** Reads the list; an unreadable one counts as empty, which only costs placing the files again. */
export async function readPlaced(jobFolder: string): Promise<PlacedFiles> {
  return Object.fromEntries(await placedPages(jobFolder));
}

/** A file to be put into place. */
interface ToPlace {
  readonly path: string;
  readonly output: OutputFile;
  /** Where it stands in the store. */
  readonly from: string;
}

/**
 * Puts a result's files into place under their final names, and takes away what an earlier result of the page had put
 * there and this one does not bring. Call it under the job's lock.
 * @param lastGood the good result before, for one that is stopped or not yet whole: what this one does not bring stays from there
 * @throws PlatehandError `write-failed`
 */
export async function placeResult(
  jobFolder: string,
  page: string,
  stored: StoredResult,
  lastGood?: StoredResult,
): Promise<void> {
  const before = (await placedPages(jobFolder)).get(page) ?? {};
  const { now, toPlace, toRemove } = await whatToPlace(jobFolder, before, stored, lastGood);
  if (toPlace.length + toRemove.length === 0) return;
  // New names are noted before they are there, so that what a crash leaves behind is known and can be taken away.
  const coming = Object.fromEntries(toPlace.map(({ path }) => [path, before[path] ?? notYetPlaced]));
  if (toPlace.some(({ path }) => before[path] === undefined)) {
    await notePlaced(jobFolder, page, { ...before, ...coming });
  }
  for (const { path, output, from } of toPlace) {
    now[path] = await place(from, jobFolder, path, output.sha256);
  }
  await removeFiles(jobFolder, toRemove, page, now);
  await notePlaced(jobFolder, page, now);
}

/** Whether a page's files as they are noted have an output of a result among them. @param files undefined where nothing stands */
export function hasPlaced(files: FilesOfPage | undefined, output: OutputFile): boolean {
  const path = pathOf(output);
  return path !== undefined && files?.[path]?.sha256 === output.sha256;
}

/**
 * Whether all that a result brings stands in place, and nothing else of its page. Changes nothing.
 * @param files as they are noted for the page; undefined where none are
 */
export async function standsInPlace(
  jobFolder: string,
  files: FilesOfPage | undefined,
  stored: StoredResult,
): Promise<boolean> {
  const { toPlace, toRemove } = await whatToPlace(jobFolder, files, stored, undefined);
  return toPlace.length + toRemove.length === 0;
}

/** What stands of a page and may stay, what is to be placed, and what is to go. */
async function whatToPlace(
  jobFolder: string,
  before: FilesOfPage = {},
  stored: StoredResult,
  lastGood: StoredResult | undefined,
) {
  const now: Record<string, PlacedFile> = {};
  const toPlace: ToPlace[] = [];
  const files = [...filesOf(stored), ...kept(stored, lastGood)];
  const paths = files.map(({ path }) => path);
  const standing = await standingFiles(jobFolder, paths);
  for (const [at, { path, output }] of files.entries()) {
    const known = before[path];
    const stands = known?.sha256 === output.sha256 && isAsWritten(standing[at], known);
    if (stands) now[path] = known;
    else toPlace.push(files[at]);
  }
  const coming = new Set(toPlace.map(({ path }) => path));
  const toRemove = Object.keys(before).filter((path) => now[path] === undefined && !coming.has(path));
  return { now, toPlace, toRemove };
}

function filesOf({ result, folder }: StoredResult): ToPlace[] {
  return result.outputs.flatMap((output) => {
    const path = pathOf(output);
    return path === undefined ? [] : [{ path, output, from: join(folder, output.name) }];
  });
}

/** What stays of the last good result: all of a product that the newer one does not bring. */
function kept(stored: StoredResult, lastGood: StoredResult | undefined): ToPlace[] {
  if (lastGood === undefined) return [];
  const brought = new Set(stored.result.outputs.map(({ product }) => product));
  return filesOf(lastGood).filter(({ output }) => !brought.has(output.product));
}

/** Stands in the list for a file that is about to be placed; no file on a disk is like it. */
const notYetPlaced: PlacedFile = { sha256: '', bytes: -1, mtimeMs: 0 };

/** Takes away what was placed for a page that has no result any more. Call it under the job's lock. */
export async function removePlaced(jobFolder: string, page: string): Promise<void> {
  const gone = (await placedPages(jobFolder)).get(page);
  if (gone === undefined) return;
  await removeFiles(jobFolder, Object.keys(gone), page, {});
  await notePlaced(jobFolder, page, undefined);
}

/**
 * Removes files that no page bears any more. A page that got another id in the page list may bear the same names as before,
 * and where names have no case, one that differs in case only is the same file.
 * @param now what stands for the page from now on
 */
async function removeFiles(
  jobFolder: string,
  paths: readonly string[],
  page: string,
  now: FilesOfPage,
): Promise<void> {
  if (paths.length === 0) return;
  const standing = new Map(await placedPages(jobFolder)).set(page, now);
  const kept = new Set([...standing.values()].flatMap((files) => Object.keys(files).map(clashKey)));
  for (const path of paths) {
    if (!kept.has(clashKey(path))) await rm(join(jobFolder, path), { force: true });
  }
}

async function place(from: string, jobFolder: string, path: string, sha256: string): Promise<PlacedFile> {
  const steps = path.split('/').slice(0, -1);
  for (const at of steps.keys()) await makeFolder(join(jobFolder, ...steps.slice(0, at + 1)));
  const to = join(jobFolder, path);
  await placeWhole(from, to);
  const { size, mtimeMs } = await stat(to);
  return { sha256, bytes: size, mtimeMs };
}
