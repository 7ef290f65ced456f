import type { Dirent } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { messageOf } from '../../config/errors.js';
import { clashKey } from '../../config/portable-name.js';
import { NotAFileError, readRegular, TooManyBytesError } from '../../config/regular-file.js';
import { nameOfBytes } from '../../config/visible-text.js';
import type { FoundMistake } from './note-rows.js';
import { roundsFolder } from './round-record.js';

/** Finds the notes files of a round and reads their text, whoever has written them and whatever has become of them on the way. */

/** A mistake in a notes file. */
export interface NoteMistake extends FoundMistake {
  /** Path in the job folder, with forward slashes. */
  readonly file: string;
}

/** A notes file that may be read. */
export interface ListedNotes {
  /** Path in the job folder, with forward slashes. */
  readonly file: string;
  readonly form: 'csv' | 'yaml';
  /** Who wrote it: the part of its name behind `notes-`; undefined where there is none. */
  readonly editor?: string;
}

/** 10,000 notes of a hundred words take some 6 MB; a YAML file is read at a tenth of the speed. Own choice. */
const mostBytes = { csv: 8 * 2 ** 20, yaml: 2 * 2 ** 20 } as const;

/** More editors than an issue ever has. Own choice. */
const mostFiles = 100;

const notesName = /^notes(.*)\.(csv|ya?ml)$/i;
/** What spreadsheets and text programs save by themselves. */
const otherForm = /^notes.*\.(xlsx?|ods|numbers|tsv|txt|docx?|odt|json)$/i;

/** The notes files of a round, those without an editor first, then by name; and what is no notes file although it is called so. */
export async function listNotes(
  jobFolder: string,
  round: number,
): Promise<{ readonly files: readonly ListedNotes[]; readonly mistakes: readonly NoteMistake[] }> {
  const folder = `${roundsFolder}/${round}`;
  const files: ListedNotes[] = [];
  const mistakes: NoteMistake[] = [];
  const entries = await readdir(join(jobFolder, folder), { withFileTypes: true, encoding: 'buffer' }).catch(
    (thrown: unknown) => {
      mistakes.push(aboutFile(folder, `the folder cannot be opened (${messageOf(thrown)})`, whoMayRead));
      return [];
    },
  );
  for (const entry of entries) {
    const { name, isName } = nameOfBytes(entry.name);
    const [, rest, ending] = notesName.exec(name) ?? [];
    const file = `${folder}/${name}`;
    const odd = oddNotes(entry, { isName, isOther: otherForm.test(name) });
    if (rest === undefined && !otherForm.test(name)) continue;
    if (odd !== undefined) mistakes.push(aboutFile(file, ...odd));
    else files.push({ file, form: ending.toLowerCase() === 'csv' ? 'csv' : 'yaml', ...editorOf(rest) });
  }
  const rank = ({ editor = '', file }: ListedNotes) => `${clashKey(editor)}\u0000${file}`;
  files.sort((a, b) => (rank(a) < rank(b) ? -1 : 1));
  for (const { file } of files.slice(mostFiles)) {
    mistakes.push(aboutFile(file, `this round has more than ${mostFiles} notes files`, 'Put some together.'));
  }
  return { files: files.slice(0, mostFiles), mistakes };
}

const whoMayRead = 'Check who may read it.';

type Said = [message: string, remedy: string];

function oddNotes(
  entry: Dirent<Buffer>,
  { isName, isOther }: { readonly isName: boolean; readonly isOther: boolean },
): Said | undefined {
  if (isOther) return ['this form is not read', 'Save it as CSV (UTF-8) in your spreadsheet.'];
  if (!isName) return ['the name of this file is not UTF-8', 'Give it a name of plain letters and digits.'];
  if (entry.isSymbolicLink()) {
    return ['this is a symbolic link, which is never followed', 'Copy the file itself into its place.'];
  }
  return entry.isFile() ? undefined : ['this is not a file', 'Put the notes file in its place.'];
}

/** `notes-mara.csv` is Mara's, `notes (1).csv` a second one. */
function editorOf(rest: string): { editor?: string } {
  const words = rest.normalize('NFC').match(/[\p{L}\p{M}\p{N}]+/gu);
  return words === null ? {} : { editor: words.join('-').slice(0, longestEditor) };
}

const longestEditor = 40;

function aboutFile(file: string, message: string, remedy: string): NoteMistake {
  return { file, line: 1, column: 1, message, remedy };
}

/**
 * The text of a notes file, without a byte order mark.
 * @returns no text, and why, for one that cannot be read; a text and a mistake for one whose letters are not UTF-8
 */
export async function notesText(
  jobFolder: string,
  { file, form }: ListedNotes,
): Promise<{ readonly text?: string; readonly mistakes: readonly NoteMistake[] }> {
  try {
    const { text, mistake } = decoded(await readRegular(join(jobFolder, file), mostBytes[form]));
    const mistakes = mistake === undefined ? [] : [{ file, ...mistake }];
    return text === undefined ? { mistakes } : { text, mistakes };
  } catch (thrown) {
    return { mistakes: [aboutFile(file, ...whyUnread(thrown, form))] };
  }
}

function whyUnread(thrown: unknown, form: ListedNotes['form']): Said {
  if (thrown instanceof NotAFileError) return ['this is not a file', 'Put the notes file in its place.'];
  if (!(thrown instanceof TooManyBytesError)) {
    return [`the file cannot be read (${messageOf(thrown)})`, whoMayRead];
  }
  const most = `${mostBytes[form] / 2 ** 20} MB`;
  const what = `the file has ${thrown.bytes} bytes, more than the ${most} that are read of notes`;
  return [what, 'Check that it is the right file, or make several of it.'];
}

interface Decoded {
  readonly text?: string;
  readonly mistake?: FoundMistake;
}

function decoded(bytes: Buffer): Decoded {
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return { text: textOf(bytes, 'utf-16le') };
  if (first === 0xfe && second === 0xff) return { text: textOf(bytes, 'utf-16be') };
  if (bytes.includes(0)) {
    const message = 'the file holds NUL characters, so it is no plain text';
    return { mistake: { line: 1, column: 1, message, remedy: 'Save it as CSV (UTF-8) or as YAML.' } };
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    return { text: textOf(bytes, 'windows-1252'), mistake: notUtf8(bytes) };
  }
}

/** A byte order mark at the start is passed over. */
function textOf(bytes: Buffer, encoding: string): string {
  return new TextDecoder(encoding).decode(bytes);
}

function notUtf8(bytes: Buffer): FoundMistake {
  const before = textOf(bytes, 'utf-8')
    .split('\uFFFD', 1)[0]
    .split(/\r\n?|\n/);
  return {
    line: before.length,
    column: (before.at(-1)?.length ?? 0) + 1,
    message: 'the file is not UTF-8; its letters were taken as those of Windows in western Europe',
    remedy: 'Look whether accents are right, and save it as CSV (UTF-8).',
  };
}
