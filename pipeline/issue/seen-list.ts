import { rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { isAsWritten, standingFiles } from '../files/standing-files.js';

/** Which pictures stand in proofs/seen-as/, and what each was made from: `.platehand/seen-as.json`. */

/** A picture as other eyes see it. */
export interface SeenFile {
  /** Path of the picture that it shows, in the job folder, and the SHA-256 that it had. */
  readonly of: string;
  readonly sha256: string;
  /** Raised whenever the same picture gives another. */
  readonly revision: number;
  readonly bytes: number;
  /** Time of the file when it was written, in milliseconds. */
  readonly mtimeMs: number;
}

/** By path in the job folder, with forward slashes. */
export type SeenFiles = Readonly<Record<string, SeenFile>>;

const listPath = (jobFolder: string) => join(jobFolder, '.platehand', 'seen-as.json');

/** What stands there. An unreadable list counts as empty, which only costs making the pictures again. */
export async function readSeen(jobFolder: string): Promise<SeenFiles> {
  try {
    return JSON.parse((await readRegular(listPath(jobFolder))).toString('utf8')) as SeenFiles;
  } catch {
    return {};
  }
}

/** Call it under the job's lock. @throws PlatehandError `write-failed` */
export async function writeSeen(jobFolder: string, files: SeenFiles): Promise<void> {
  const path = listPath(jobFolder);
  await makeFolder(dirname(path));
  await writeWhole(path, Buffer.from(`${JSON.stringify(files)}\n`));
}

/** Whether a picture stands as it was written, and shows what it should. */
export async function stillShows(
  jobFolder: string,
  path: string,
  known: SeenFile | undefined,
  asked: Pick<SeenFile, 'of' | 'sha256' | 'revision'>,
): Promise<boolean> {
  if (known === undefined) return false;
  if (known.of !== asked.of || known.sha256 !== asked.sha256 || known.revision !== asked.revision)
    return false;
  const [now] = await standingFiles(jobFolder, [path]);
  return isAsWritten(now, known);
}

/**
 * Takes away pictures whose page or contact sheet has changed or gone since.
 * @param shaOf SHA-256 of a picture that stands in the job folder now; undefined where there is none
 * @returns those that stay
 */
export async function removeOutdated(
  jobFolder: string,
  files: SeenFiles,
  shaOf: (path: string) => string | undefined,
): Promise<SeenFiles> {
  const stay: Record<string, SeenFile> = {};
  for (const [path, file] of Object.entries(files)) {
    if (shaOf(file.of) === file.sha256) stay[path] = file;
    else await rm(join(jobFolder, path), { force: true });
  }
  return stay;
}
