import { type NoteColumn, noteColumns } from './notes-template.js';

/** Notes files as rows of cells, each with its place in the file, before anybody asks what they mean. */

/** A value as it is written. */
export interface NoteCell {
  /** Without blanks at its ends; line breaks as `\n`. */
  readonly text: string;
  /** In the file, counted from 1. */
  readonly line: number;
  /** In that line, counted from 1. */
  readonly column: number;
}

/** What is said in one row of a table, or one entry of a list. */
export interface NoteRow {
  readonly line: number;
  readonly column: number;
  /** What is not there is empty in the file as well. */
  readonly cells: Readonly<Partial<Record<NoteColumn, NoteCell>>>;
}

/** A mistake in a notes file, before its file is named. */
export interface FoundMistake {
  readonly line: number;
  readonly column: number;
  /** One sentence without a full stop. */
  readonly message: string;
  /** What to do, one sentence with a full stop. */
  readonly remedy: string;
}

/** A notes file, as rows. */
export interface NoteRows {
  readonly rows: readonly NoteRow[];
  /** Names of notes that are closed beside any row. */
  readonly closed: readonly NoteCell[];
  readonly mistakes: readonly FoundMistake[];
}

const byKey = new Map(noteColumns.map((column) => [keyOf(column), column]));

/** Blanks, hyphens and capitals do not matter: `X (mm)` and `x-mm` are `xMm`. */
function keyOf(name: string): string {
  return name.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');
}

/** The column that a name stands for; undefined for none. */
export function columnNamed(name: string): NoteColumn | undefined {
  return byKey.get(keyOf(name));
}

/** The beginning of a text, as messages quote it. */
export function quoted(text: string, most = 60): string {
  const line = text.replace(/\s+/g, ' ').trim();
  const characters = [...line.slice(0, 2 * most)];
  return `"${characters.length > most ? `${characters.slice(0, most - 1).join('')}\u2026` : line}"`;
}
