import { type Dirent, lstat as lstatCalling, type Stats } from 'node:fs';
import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { nameOfBytes } from '../../config/visible-text.js';
import type { IncomingFile, LeftOutFile } from '../model/reconciliation.js';

/** Folders below incoming/ that are looked into; people sort by scene, part and round, hardly deeper. */
export const maxFolderDepth = 4;

/** What the folder holds: files to reconcile, and entries that are none, each with the reason. */
export interface IncomingListing {
  readonly files: readonly IncomingFile[];
  readonly skipped: readonly LeftOutFile[];
  /**
   * Folders (with a final slash) that could not be opened and files that could not be looked at. Nobody knows what is
   * there, so nothing below them counts as gone.
   */
  readonly hidden: readonly LeftOutFile[];
}

/**
 * Names that systems and programs leave behind, each with the rule that people read. Common practice on the usual
 * systems, no published source.
 */
const litter: readonly (readonly [RegExp, string])[] = [
  [/^\._/, 'a companion file of the system'],
  [/^\./, 'a hidden file or folder'],
  [/^(?:(?:eh)?thumbs\.db|desktop\.ini|icon\r)$/i, 'a file of the system'],
  [/^(?:\$recycle\.bin|system volume information|lost\+found)$/i, 'a folder of the system'],
  [/^(?:thumbnails|__macosx|@eadir)$/i, 'a folder of thumbnails or companion files'],
  [/:zone\.identifier$/i, 'a companion file of the system'],
  [/^~\$/, 'a lock file of an open document'],
  [/~$/, 'a backup file of an editor'],
  [/\.(?:tmp|part|crdownload|partial|swp|lock)$/i, 'a temporary file'],
  [/\.bak$/i, 'a backup file of an editor'],
];

/** The rule by which a file or folder name (without path) is litter; undefined where it is not. */
export function litterRule(name: string): string | undefined {
  return litter.find(([pattern]) => pattern.test(name))?.[1];
}

/** Why an entry that is no plain file is not used; undefined for files and folders. */
function oddKind(entry: ByteEntry): { rule: string; remedy: string } | undefined {
  if (entry.isSymbolicLink()) {
    return {
      rule: 'a symbolic link, which is never followed',
      remedy: 'Copy the file itself into incoming/',
    };
  }
  if (entry.isFile() || entry.isDirectory()) return undefined;
  return { rule: 'not a file', remedy: 'Remove it from incoming/' };
}

/** Old archives and shares bring such names; opened by the text that they look like, nothing would be there. */
const notUtf8 = {
  rule: 'its name is not UTF-8, so it cannot be told which page it belongs to',
  remedy: 'Give it another name, of plain letters and digits',
};

/** An entry of a folder with its name as bytes: as text, names that are not UTF-8 would be nobody's. */
type ByteEntry = Dirent<Buffer>;

async function readBytes(folder: string): Promise<ByteEntry[]> {
  return readdir(folder, { withFileTypes: true, encoding: 'buffer' });
}

/** The system's short code, such as EACCES: its message would repeat the path. */
function causeOf(thrown: unknown): string {
  return thrown instanceof Error && 'code' in thrown ? String(thrown.code) : messageOf(thrown);
}

interface Found {
  readonly files: IncomingFile[];
  readonly skipped: LeftOutFile[];
  readonly hidden: LeftOutFile[];
}

/** Whether an entry went away, or became something else, between being listed and being looked at. */
function hasJustGone(thrown: unknown): boolean {
  return ['ENOENT', 'ENOTDIR'].includes(causeOf(thrown));
}

function listedAs(name: string, { size, mtimeMs, ctimeMs, ino }: Stats): IncomingFile {
  return { name, bytes: size, mtimeMs, ctimeMs, inode: ino };
}

/** Size and time of a file; one that has just gone is not there, one that cannot be looked at is hidden. */
function addFile(name: string, thrown: Error | null, facts: Stats, found: Found): void {
  if (thrown === null) found.files.push(listedAs(name, facts));
  else if (!hasJustGone(thrown)) {
    const rule = `could not be looked at (${causeOf(thrown)}); its page stays as it is`;
    found.hidden.push({ name, rule, remedy: 'Check its name and who may read it' });
  }
}

/** Looks at the files of a folder, side by side. One promise for all: one for each takes three times as long as the looking. */
function addFiles(
  files: readonly { readonly path: string; readonly name: string }[],
  found: Found,
): Promise<void> {
  return new Promise((resolve) => {
    let left = files.length;
    if (left === 0) resolve();
    for (const { path, name } of files) {
      lstatCalling(path, (thrown, facts) => {
        addFile(name, thrown, facts, found);
        if (--left === 0) resolve();
      });
    }
  });
}

async function addFolder(path: string, name: string, depth: number, found: Found): Promise<void> {
  if (depth > maxFolderDepth) {
    const rule = `more than ${maxFolderDepth} folders deep`;
    found.skipped.push({ name: `${name}/`, rule, remedy: 'Move its files further up' });
    return;
  }
  let entries: ByteEntry[];
  try {
    entries = await readBytes(path);
  } catch (thrown) {
    if (hasJustGone(thrown)) return;
    const rule = `could not be opened (${causeOf(thrown)}); pages whose files are in it stay as they are`;
    const remedy = 'Check who may read this folder, or move it out of incoming/';
    found.hidden.push({ name: `${name}/`, rule, remedy });
    return;
  }
  await addEntries(path, name, depth, entries, found);
}

/** Sorts the entries of one folder into files, folders to look into, and what is passed over. */
async function addEntries(
  path: string,
  folder: string,
  depth: number,
  entries: readonly ByteEntry[],
  found: Found,
): Promise<void> {
  const folders: string[] = [];
  const files: { readonly path: string; readonly name: string }[] = [];
  for (const entry of entries) {
    const { name: ownName, isName } = nameOfBytes(entry.name);
    const name = folder === '' ? ownName : `${folder}/${ownName}`;
    const shown = entry.isDirectory() ? `${name}/` : name;
    const rule = litterRule(ownName);
    const odd = isName ? oddKind(entry) : notUtf8;
    if (rule !== undefined) found.skipped.push({ name: shown, rule, remedy: '' });
    else if (odd !== undefined) found.skipped.push({ name: shown, ...odd });
    else if (entry.isDirectory()) folders.push(ownName);
    else files.push({ path: join(path, ownName), name });
  }
  await addFiles(files, found);
  for (const name of folders) {
    await addFolder(join(path, name), folder === '' ? name : `${folder}/${name}`, depth + 1, found);
  }
}

/**
 * Lists what incoming/ holds, in natural order and the same on every machine. Nothing is opened, changed or followed
 * out of the folder: symbolic links are passed over, so is the litter of systems and programs. Empty files are listed
 * as files, because somebody meant them to arrive.
 *
 * @param folder path of incoming/
 * @throws PlatehandError `job-missing` where the folder is not there or cannot be read
 */
export async function listIncoming(folder: string): Promise<IncomingListing> {
  const found: Found = { files: [], skipped: [], hidden: [] };
  let entries: ByteEntry[];
  try {
    entries = await readBytes(folder);
  } catch (cause) {
    const remedy = 'Make the folder, or check who may read it: finished pages are dropped there.';
    throw new PlatehandError('job-missing', 'The folder of finished pages cannot be opened', remedy, {
      place: { file: folder },
      cause,
    });
  }
  await addEntries(folder, '', 0, entries, found);
  const byName = (first: { name: string }, second: { name: string }) =>
    compareNaturally(first.name, second.name);
  const { files, skipped, hidden } = found;
  return { files: files.sort(byName), skipped: skipped.sort(byName), hidden: hidden.sort(byName) };
}

/**
 * The listing as it is when no other files than these have changed since the last one: what costs a moment with ten thousands of files.
 * @param last the listing before
 * @param names of files, relative to incoming/, that may have changed
 * @returns undefined where one of them is new, gone or no plain file any more, so that everything has to be listed
 */
export async function listAgain(
  folder: string,
  last: IncomingListing,
  names: ReadonlySet<string>,
): Promise<IncomingListing | undefined> {
  if (last.hidden.length > 0) return undefined;
  const known = new Set(last.files.map(({ name }) => name));
  const now = new Map<string, IncomingFile>();
  for (const name of names) {
    const facts = await lstat(join(folder, name)).catch(() => undefined);
    if (!known.has(name) || facts === undefined || !facts.isFile()) return undefined;
    now.set(name, listedAs(name, facts));
  }
  return { ...last, files: last.files.map((file) => now.get(file.name) ?? file) };
}

/**
 * Whether a name is hidden, or lies in a folder that is: its absence from a listing says nothing about whether it is gone.
 * @param name relative to incoming/; folders end with a slash
 * @param hidden names that a listing could not look at, folders with a final slash
 */
export function isHidden(name: string, hidden: readonly string[]): boolean {
  return hidden.some((each) => name === each || (each.endsWith('/') && name.startsWith(each)));
}

/** The locale is fixed so that lists stand in the same order on every machine. */
const collator = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/**
 * Order of file names for people: `p2` before `p10`, upper and lower case together. Names that differ in case, accents
 * or leading zeros only are then told apart by their code units, so that the order is always the same.
 */
export function compareNaturally(first: string, second: string): number {
  const order = collator.compare(first, second);
  if (order !== 0) return order;
  if (first === second) return 0;
  return first < second ? -1 : 1;
}
