import { readFile, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { makeFolder, placeWhole, writeWhole } from '../files/atomic.js';
import type { OutputFile } from '../page-result.js';
import type { StoredResult } from './results.js';

/**
 * The files that platehand has put into press/, plates/ and proofs/, by page: so that what no longer holds (a stopped
 * page, another naming pattern) is taken away again, and what stands there already is left alone.
 */
interface PlacedFiles {
  [page: string]: Record<string, PlacedFile>;
}

interface PlacedFile {
  readonly sha256: string;
  readonly bytes: number;
  /** Time of the file when it was placed, in milliseconds. */
  readonly mtimeMs: number;
}

/** Folder of the job in which a product's files appear. */
export const productFolders = { press: 'press', plates: 'plates', proof: 'proofs' } as const;

const listPath = (jobFolder: string) => join(jobFolder, '.platehand', 'placed.json');

/** Ids of the pages that have files in place. */
export async function placedPages(jobFolder: string): Promise<string[]> {
  return Object.keys(await readPlaced(jobFolder));
}

/** Reads the list; an unreadable one counts as empty, which only costs placing the files again. */
async function readPlaced(jobFolder: string): Promise<PlacedFiles> {
  try {
    return JSON.parse(await readFile(listPath(jobFolder), 'utf8')) as PlacedFiles;
  } catch {
    return {};
  }
}

async function writePlaced(jobFolder: string, placed: PlacedFiles): Promise<void> {
  const sorted = Object.fromEntries(Object.entries(placed).sort(([a], [b]) => (a < b ? -1 : 1)));
  await makeFolder(join(jobFolder, '.platehand'));
  await writeWhole(listPath(jobFolder), Buffer.from(`${JSON.stringify(sorted, null, 2)}\n`));
}

/**
 * Puts a result's files into place under their final names, and takes away what an earlier result of the page had put
 * there and this one does not bring. Call it under the job's lock.
 * @returns whether anything changed
 * @throws PlatehandError `write-failed`
 */
export async function placeResult(jobFolder: string, page: string, stored: StoredResult): Promise<boolean> {
  const placed = await readPlaced(jobFolder);
  const before = placed[page] ?? {};
  const now: Record<string, PlacedFile> = {};
  const toPlace: { readonly path: string; readonly output: OutputFile }[] = [];
  for (const output of stored.result.outputs) {
    if (output.product === 'thumbnail') continue;
    const path = `${productFolders[output.product]}/${output.name}`;
    const known = before[path];
    const stands = known?.sha256 === output.sha256 && (await isInPlace(join(jobFolder, path), known));
    if (stands) now[path] = known;
    else toPlace.push({ path, output });
  }
  const toRemove = Object.keys(before).filter(
    (path) => !(path in now) && !toPlace.some((one) => one.path === path),
  );
  if (toPlace.length + toRemove.length === 0) return false;
  // New names are noted before they are there, so that what a crash leaves behind is known and can be taken away.
  const coming = Object.fromEntries(toPlace.map(({ path }) => [path, before[path] ?? notYetPlaced]));
  if (toPlace.some(({ path }) => before[path] === undefined)) {
    await writePlaced(jobFolder, { ...placed, [page]: { ...before, ...coming } });
  }
  for (const { path, output } of toPlace) {
    now[path] = await place(join(stored.folder, output.name), join(jobFolder, path), output.sha256);
  }
  for (const path of toRemove) await rm(join(jobFolder, path), { force: true });
  await writePlaced(jobFolder, { ...placed, [page]: now });
  return true;
}

/** Stands in the list for a file that is about to be placed; no file on a disk is like it. */
const notYetPlaced: PlacedFile = { sha256: '', bytes: -1, mtimeMs: 0 };

/** Takes away what was placed for a page that has no result any more. Call it under the job's lock. */
export async function removePlaced(jobFolder: string, page: string): Promise<void> {
  const { [page]: gone, ...others } = await readPlaced(jobFolder);
  if (gone === undefined) return;
  for (const path of Object.keys(gone)) await rm(join(jobFolder, path), { force: true });
  await writePlaced(jobFolder, others);
}

async function place(from: string, to: string, sha256: string): Promise<PlacedFile> {
  await makeFolder(dirname(to));
  await placeWhole(from, to);
  const { size, mtimeMs } = await stat(to);
  return { sha256, bytes: size, mtimeMs };
}

async function isInPlace(path: string, known: PlacedFile): Promise<boolean> {
  try {
    const { size, mtimeMs } = await stat(path);
    return size === known.bytes && mtimeMs === known.mtimeMs;
  } catch {
    return false;
  }
}
