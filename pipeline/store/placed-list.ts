import { open, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { openRegular, readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { writeFailed } from '../files/disk-trouble.js';

/**
 * `.platehand/placed.jsonl`: which files stand in press/, plates/ and proofs/ for which page, a line for each change of a page. The last
 * line of a page holds. Adding a line costs the same however many pages there are, and what was read before is not read again. Whoever
 * adds has the job's lock.
 */

export interface PlacedFile {
  readonly sha256: string;
  readonly bytes: number;
  /** Time of the file when it was placed, in milliseconds. */
  readonly mtimeMs: number;
}

/** Files that stand for a page, by path in the job folder. */
export type FilesOfPage = Readonly<Record<string, PlacedFile>>;

/** The list as far as it was read. */
interface KnownList {
  /** Tells the file from another of its name. */
  readonly identity: string;
  /** Up to the end of its last whole line. */
  bytes: number;
  lines: number;
  readonly pages: Map<string, FilesOfPage>;
}

/** By path of the list. */
const knownLists = new Map<string, KnownList>();

/** A list of more lines than this many a page, and some for short ones, is written anew, with one line a page. */
const linesPerPage = 6;
const freeLines = 600;

const listPath = (jobFolder: string) => join(jobFolder, '.platehand', 'placed.jsonl');
/** What held the same before there were lines: all pages as one object. */
const formerPath = (jobFolder: string) => join(jobFolder, '.platehand', 'placed.json');

/** The pages and their files as they stand now. An unreadable list counts as empty, which only costs placing the files again. */
export async function placedPages(jobFolder: string): Promise<ReadonlyMap<string, FilesOfPage>> {
  return (await current(jobFolder)).pages;
}

/**
 * Notes what stands for a page from now on.
 * @param files undefined where nothing does any more
 * @throws PlatehandError `write-failed`
 */
export async function notePlaced(
  jobFolder: string,
  page: string,
  files: FilesOfPage | undefined,
): Promise<void> {
  const path = listPath(jobFolder);
  const list = await current(jobFolder);
  const isNew = list.identity === noFile;
  if (isNew || list.lines > freeLines + linesPerPage * list.pages.size) {
    const pages = new Map(list.pages);
    apply(pages, page, files);
    await makeFolder(join(jobFolder, '.platehand'));
    await writeWhole(
      path,
      [...pages].map(([id, placed]) => Buffer.from(lineOf(id, placed))),
    );
    if (isNew) await rm(formerPath(jobFolder), { force: true });
    return;
  }
  try {
    await append(path, list, lineOf(page, files));
  } catch (thrown) {
    knownLists.delete(path);
    throw writeFailed(path, thrown);
  }
}

async function append(path: string, list: KnownList, line: string): Promise<void> {
  const file = await open(path, 'a');
  try {
    const { size } = await file.stat();
    // What a crash has torn ends here, as a line that says nothing.
    await file.appendFile(size > list.bytes ? `\n${line}` : line);
    await file.sync();
  } finally {
    await file.close();
  }
}

function lineOf(page: string, files: FilesOfPage | undefined): string {
  return `${JSON.stringify({ page, files })}\n`;
}

const noFile = 'none';

async function current(jobFolder: string): Promise<KnownList> {
  const path = listPath(jobFolder);
  const facts = await stat(path).catch(() => undefined);
  if (facts === undefined || !facts.isFile()) {
    knownLists.delete(path);
    return { identity: noFile, bytes: 0, lines: 0, pages: await formerPages(jobFolder) };
  }
  const identity = `${facts.dev} ${facts.ino} ${facts.birthtimeMs}`;
  const known = knownLists.get(path);
  const goesOn = known?.identity === identity && known.bytes <= facts.size;
  const list = goesOn ? known : { identity, bytes: 0, lines: 0, pages: new Map<string, FilesOfPage>() };
  if (facts.size > list.bytes) await readOn(path, list);
  knownLists.set(path, list);
  return list;
}

/** Reads the lines that were added since. One that is not whole yet is left for the next time. */
async function readOn(path: string, list: KnownList): Promise<void> {
  try {
    const { handle, size } = await openRegular(path);
    try {
      const added = Buffer.alloc(Math.max(0, size - list.bytes));
      const { bytesRead } = await handle.read(added, 0, added.length, list.bytes);
      const end = added.lastIndexOf(10, bytesRead - 1) + 1;
      for (const line of added.toString('utf8', 0, end).split('\n').slice(0, -1)) applyLine(list, line);
      list.bytes += end;
    } finally {
      await handle.close();
    }
  } catch {
    // As far as it could be read.
  }
}

function applyLine(list: KnownList, line: string): void {
  list.lines++;
  try {
    const { page, files } = JSON.parse(line) as { page?: unknown; files?: FilesOfPage };
    if (typeof page === 'string') apply(list.pages, page, files);
  } catch {
    // Torn by a crash: nothing was placed by it yet.
  }
}

function apply(pages: Map<string, FilesOfPage>, page: string, files: FilesOfPage | undefined): void {
  if (files === undefined) pages.delete(page);
  else pages.set(page, files);
}

async function formerPages(jobFolder: string): Promise<Map<string, FilesOfPage>> {
  try {
    const former = JSON.parse((await readRegular(formerPath(jobFolder))).toString('utf8')) as object;
    return new Map(Object.entries(former));
  } catch {
    return new Map();
  }
}
