import { type Stats, stat } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { readRegular } from '../../config/regular-file.js';
import { askDisk, startAsking } from './asking-thread.js';

/** What stands in the job folder, and whether as it was written: asked of every file of every page, whenever an issue is looked at. */

/** A file as it was written: whoever writes to it later changes one of these. */
export interface Written {
  readonly bytes: number;
  readonly mtimeMs: number;
}

/** Whether a file stands as it was written. */
export function isAsWritten(
  now: Written | undefined,
  then: { bytes: number; mtimeMs: number | undefined },
): boolean {
  return now !== undefined && now.bytes === then.bytes && now.mtimeMs === then.mtimeMs;
}

/** Things that a process asks for before a thread of its own is worth its start, some hundredths of a second. Own choice, some 40 pages. */
const askedWithoutThread = 1000;

let asked = 0;

/**
 * Says how many things will be asked soon: a thread that is worth its start is started now, beside whatever comes before the asking.
 * @param things files, texts and names
 */
export function expectAsking(things: number): void {
  if (things > askedWithoutThread && isWorthThread(things)) startAsking();
}

function isWorthThread(more: number): boolean {
  asked += more;
  return asked > askedWithoutThread;
}

/**
 * How files stand now; undefined for those that are not there or cannot be asked.
 * @param folder absolute
 * @param names of files below it, with forward slashes
 * @returns in the order of the names
 */
export async function standingFiles(
  folder: string,
  names: readonly string[],
): Promise<readonly (Written | undefined)[]> {
  if (!isWorthThread(names.length)) return askEach(names.map((name) => join(folder, name)));
  const found = await askDisk('standing', folder, names.join('\0'));
  return names.map((_, at) =>
    Number.isNaN(found[2 * at]) ? undefined : { bytes: found[2 * at], mtimeMs: found[2 * at + 1] },
  );
}

/** The text of one of platehand's own files; undefined where it is not there or cannot be read. */
export async function standingText(path: string): Promise<string | undefined> {
  if (isWorthThread(1)) return askDisk('text', path);
  const bytes = await readRegular(path).catch(() => undefined);
  return bytes?.toString('utf8');
}

/** The names in one of platehand's own folders; none where it is not there or cannot be opened. */
export async function standingNames(folder: string): Promise<readonly string[]> {
  return isWorthThread(1) ? askDisk('names', folder) : readdir(folder).catch(() => []);
}

/** One promise for all: a promise for each takes as long as the asking. */
function askEach(paths: readonly string[]): Promise<readonly (Written | undefined)[]> {
  return new Promise((resolve) => {
    const found = new Array<Written | undefined>(paths.length);
    let left = paths.length;
    if (left === 0) resolve(found);
    for (const [at, path] of paths.entries()) {
      stat(path, (failed: Error | null, facts: Stats) => {
        found[at] = failed === null ? { bytes: facts.size, mtimeMs: facts.mtimeMs } : undefined;
        if (--left === 0) resolve(found);
      });
    }
  });
}
