import { closest, didYouMean } from '../../config/job-file/job-problem.js';
import { type CsvRecord, csvRecords, type Separator } from './csv-cells.js';
import {
  columnNamed,
  type FoundMistake,
  type NoteCell,
  type NoteRow,
  type NoteRows,
  quoted,
} from './note-rows.js';
import { type NoteColumn, noteColumns } from './notes-template.js';

/** Reads a notes file of a spreadsheet: which separator it has, which column is which, and what a spreadsheet has made of it. */

const separators: readonly Separator[] = [',', ';', '\t'];

/** Some spreadsheets write this first: `sep=;`. */
const separatorLine = /^"?sep=.?"?$/i;

/** Words of explanation: a cell that begins with `#` and a blank, and nothing beside it. `#7` is page 7. */
function isComment(record: CsvRecord): boolean {
  const [first, ...others] = record;
  const isWords = /^#(\s|$)/.test(first.text) || (separatorLine.test(first.text) && first.line === 1);
  return isWords && others.every(({ text }) => text === '');
}

/** @param text of the file, without a byte order mark */
export function csvNotes(text: string): NoteRows {
  const read = csvRecords(text, separatorOf(text));
  const records = read.records.filter((record) => !isComment(record)).map(unwrapped);
  const mistakes = [...read.mistakes];
  const head = records.length === 0 ? undefined : headOf(records[0]);
  if (head === undefined) {
    const line = { line: records[0]?.[0].line ?? 1, column: 1 };
    if (records.length > 0) mistakes.push({ ...line, ...noHead });
    const rows = records.map((record) => rowOf(record, noteColumns, mistakes));
    return { rows, closed: [], mistakes };
  }
  mistakes.push(...head.mistakes);
  const rows = records.slice(1).map((record) => rowOf(record, head.columns, mistakes));
  return { rows, closed: [], mistakes };
}

const noHead = {
  message: 'the line with the names of the columns is missing',
  remedy: `Put it above the first row: ${noteColumns.join(',')}. The cells were taken in this order.`,
};

/** The separator by which the line of names falls into most columns that are known; a comma where none does. */
function separatorOf(text: string): Separator {
  const lines = text.slice(0, 20_000).split(/\r\n?|\n/);
  const first = lines.find(
    (line) => line.trim() !== '' && !/^\s*"?#\s/.test(line) && !separatorLine.test(line),
  );
  if (first === undefined) return ',';
  const known = (separator: Separator) => {
    const names = new Set(first.split(separator).map((name) => columnNamed(name)));
    return names.size - (names.has(undefined) ? 1 : 0);
  };
  const most = separators.toSorted((a, b) => known(b) - known(a))[0];
  // Without names of columns the sign that stands there most often.
  if (known(most) > 1) return most;
  const count = (separator: Separator) => first.split(separator).length;
  return separators.toSorted((a, b) => count(b) - count(a))[0];
}

/** A spreadsheet that expects another separator keeps a whole line in its first cell, and puts it into quotes. */
function unwrapped(record: CsvRecord): CsvRecord {
  const [first, ...others] = record;
  if (!/[,;\t]/.test(first.text) || others.some(({ text }) => text !== '')) return record;
  const separator = separators.find((one) => first.text.split(one).length > 2);
  if (separator === undefined) return record;
  const inside = csvRecords(first.text, separator).records[0] ?? [];
  const place = { line: first.line, column: first.column };
  return inside.length < 2 ? record : inside.map(({ text }) => ({ text, ...place }));
}

interface Head {
  /** What each place of a row is; undefined for what is not known. */
  readonly columns: readonly (NoteColumn | undefined)[];
  readonly mistakes: readonly FoundMistake[];
}

/** The columns by their names; undefined for a row that is none of names. */
function headOf(record: CsvRecord): Head | undefined {
  const columns = record.map(({ text }) => columnNamed(text));
  const isHead = columns.includes('page') || columns.filter((each) => each !== undefined).length > 2;
  if (!isHead) return undefined;
  const mistakes = record.flatMap((cell, at): FoundMistake[] => {
    if (cell.text === '') return [];
    const column = columns[at];
    if (column === undefined) return [unknownColumn(cell)];
    if (columns.indexOf(column) === at) return [];
    return [mistake(cell, `the column ${column} stands here twice`, 'Keep one of them; the first counts.')];
  });
  if (!columns.includes('page')) mistakes.push(mistake(record[0], 'there is no column "page"', noPageRemedy));
  const once = columns.map((column, at) => (columns.indexOf(column) === at ? column : undefined));
  return { columns: once, mistakes };
}

const noPageRemedy = 'Name the column of the pages "page".';

function unknownColumn(cell: NoteCell): FoundMistake {
  const meant = closest(cell.text, noteColumns) === undefined ? '' : didYouMean(cell.text, noteColumns);
  const message = `the column ${quoted(cell.text)} is not known${meant}`;
  return mistake(cell, message, `Known are ${noteColumns.join(', ')}; this one was not read.`);
}

function mistake({ line, column }: NoteCell, message: string, remedy: string): FoundMistake {
  return { line, column, message, remedy };
}

/** A row, by columns; cells beyond them are told, so that no word is lost. */
function rowOf(record: CsvRecord, columns: Head['columns'], mistakes: FoundMistake[]): NoteRow {
  const cells: Partial<Record<NoteColumn, NoteCell>> = {};
  record.forEach((cell, at) => {
    if (cell.text === '') return;
    const column = columns[at];
    if (column !== undefined) cells[column] = cell;
    else if (at >= columns.length)
      mistakes.push(mistake(cell, `${quoted(cell.text)} stands beyond the last column`, beyondRemedy));
  });
  const { about } = cells;
  if (about !== undefined && !/^\p{L}+ - \p{L}[\p{L} ]*$/u.test(about.text)) {
    mistakes.push(
      mistake(about, `${quoted(about.text)} stands in the column "about", which is not read`, aboutRemedy),
    );
  }
  return { line: record[0].line, column: record[0].column, cells };
}

const beyondRemedy = 'Put a text with commas or semicolons into quotes, so that it stays in its column.';
const aboutRemedy = 'Write it into the column "note".';
