import { didYouMean } from '../../config/job-file/job-problem.js';
import type { NotePlace } from '../model/page-notes.js';
import { looksLikeDate, type NotedSize, placedOf, type Tell } from './note-place.js';
import { type FoundMistake, type NoteCell, type NoteRow, quoted } from './note-rows.js';
import { type Verdict, verdicts } from './notes-template.js';
import type { NamedPage, PageWords } from './page-words.js';

/** What a row of a notes file says. Whatever is wrong in it is told, and the rest of the row counts all the same. */

/** A page as far as notes need it. */
export type NotedPage = NamedPage & { readonly spec: NotedSize };

/** A row, understood. */
export interface ReadRow {
  /** Where the row begins. */
  readonly line: number;
  readonly column: number;
  readonly page: string;
  readonly verdict?: Verdict;
  /** What it says of the page; undefined for a row that only judges, or only closes. */
  readonly note?: {
    readonly text: string;
    readonly place?: NotePlace;
    readonly cell?: string;
    /** The editor's own name for it. */
    readonly name?: NoteCell;
    /** Whether it is closed by its own row. */
    readonly isClosed: boolean;
  };
  /** Names of notes that it closes. */
  readonly closes: readonly NoteCell[];
}

/**
 * @param pages by what they are called
 * @returns undefined for a row of no page: what it says is told as a mistake, with its words
 */
export function readRow(
  row: NoteRow,
  pages: PageWords<NotedPage>,
  mistakes: FoundMistake[],
): ReadRow | undefined {
  const { cells, line, column } = row;
  const tell: Tell = (cell, message, remedy) => {
    mistakes.push({ line: cell.line, column: cell.column, message, remedy });
  };
  const ownClosing = cells.closed !== undefined && yesWords.has(cells.closed.text.toLowerCase());
  const closes = ownClosing ? [] : namesIn(cells.closed);
  const page = cells.page === undefined ? undefined : pages.find(cells.page.text);
  if (page === undefined) {
    if (saysSomething(row)) tell(cells.page ?? row, ...noPage(row));
    return closes.length === 0 ? undefined : { line, column, page: '', closes };
  }
  const verdict = verdictOf(cells.verdict, tell);
  const placed = placedOf(row, page.spec, tell);
  const text = cells.note === undefined ? '' : textOf(cells.note, tell);
  const isNote = text !== '' || placed.place !== undefined;
  if (!isNote && (cells.name !== undefined || ownClosing)) {
    tell(
      cells.name ?? cells.closed ?? row,
      'this row has no note that could be named or closed',
      noNoteRemedy,
    );
  }
  const name = cells.name === undefined ? {} : { name: cells.name };
  const note = { text, ...placed, ...name, isClosed: ownClosing };
  const judged = verdict === undefined ? {} : { verdict };
  return { line, column, page: page.id, ...judged, ...(isNote ? { note } : {}), closes };
}

const noNoteRemedy =
  'Write the note beside it; to close another one, write its name into the column "closed".';

/** Whether a row has anything that would be lost; a row of the form that nobody filled in has not. */
function saysSomething({ cells: { page: _, about: __, closed: ___, ...others } }: NoteRow): boolean {
  return Object.values(others).some((cell) => cell !== undefined);
}

function noPage({ cells: { page, note, verdict } }: NoteRow): [message: string, remedy: string] {
  const words = note?.text ?? verdict?.text;
  const said = words === undefined ? '' : `; it says ${quoted(words)}`;
  if (page === undefined) return [`this row names no page${said}`, 'Write the page into its first column.'];
  if (looksLikeDate(page.text)) {
    const remedy = 'Write a letter before the numbers: p6-7.';
    return [`the page is ${quoted(page.text)}, a date that a spreadsheet has made of it${said}`, remedy];
  }
  return [
    `there is no page ${quoted(page.text)} in the page list${said}`,
    'Name the page as the proof does.',
  ];
}

/** Words that close the note of their own row. */
const yesWords: ReadonlySet<string> = new Set([
  'yes',
  'y',
  'x',
  'true',
  'closed',
  'done',
  'ok',
  '\u2713',
  '1',
]);

/** Names between blanks, commas and semicolons, each at its place. */
function namesIn(cell: NoteCell | undefined): NoteCell[] {
  if (cell === undefined) return [];
  return [...cell.text.matchAll(/[^\s,;]+/g)].map(({ 0: text, index }) => {
    // A cell in quotes begins a sign later; the place of the first name is near enough for both.
    return { text, line: cell.line, column: cell.column + index };
  });
}

/** How verdicts are written, beside the words themselves. */
const verdictWords: Readonly<Record<string, Verdict>> = {
  accepted: 'accepted',
  accept: 'accepted',
  approved: 'accepted',
  ok: 'accepted',
  okay: 'accepted',
  change: 'change',
  changes: 'change',
  changed: 'change',
};

function verdictOf(cell: NoteCell | undefined, tell: Tell): Verdict | undefined {
  if (cell === undefined) return undefined;
  const word = cell.text.toLowerCase().replace(/[.!]+$/, '');
  if (Object.hasOwn(verdictWords, word)) return verdictWords[word];
  const message = `the verdict ${quoted(cell.text)} is not known${didYouMean(cell.text, verdicts)}`;
  tell(cell, message, `Write ${verdicts.join(' or ')}, or leave it empty.`);
  return undefined;
}

/** What spreadsheets leave of a text that begins like a formula. */
const formulaError = /^#(?:NAME|VALUE|REF|DIV\/0|N\/A|NULL|NUM|ERROR|WERT|BEZUG)[?!]?$|^Err:\d+$/i;

/** Nobody writes more about one place; a file that does is not a notes file. Own choice. */
const longestNote = 4000;

function textOf(cell: NoteCell, tell: Tell): string {
  if (formulaError.test(cell.text)) {
    tell(
      cell,
      `the spreadsheet took this note for a formula: of its words only ${quoted(cell.text)} is left`,
      formulaRemedy,
    );
  }
  if (cell.text.length <= longestNote) return cell.text.normalize('NFC');
  tell(
    cell,
    `the note has ${cell.text.length} characters; the first ${longestNote} count`,
    'Make two notes of it.',
  );
  return [...cell.text].slice(0, longestNote).join('').normalize('NFC');
}

const formulaRemedy = 'Write it again, and begin it with a letter.';
