import type { SizeMm } from '../../config/units.js';
import type { NotePlace } from './page-notes.js';

/**
 * The grid that a proof carries at its edge, by which people name a place on paper and on the telephone: letters along the top, numbers
 * down the side, A1 in the upper left corner of the trim. It covers the trim exactly; the bleed has no cells, as it is cut off.
 */

/**
 * About how large a cell is. A face or a balloon of a comic page takes one or two of such cells, and a page has some 100, which are found at
 * a glance. A fixed number of cells would make those of a spread twice as wide as those of its neighbours. Own choice.
 */
const cellMm = 20;

/** An even number of columns: the middle, the fold of a spread, lies between two cells and never in one. */
const columnStep = 2;

/** Letters end at Z: a page wider than that many cells has wider ones. */
const mostColumns = 26;
/** Two digits at most. */
const mostRows = 99;

/** How many cells a page has. They are all equally large, so that none is cut at the edge. */
export interface NoteGrid {
  readonly columns: number;
  readonly rows: number;
  /** Size of a cell. */
  readonly cell: SizeMm;
}

/** The grid of a page, by its trim. */
export function noteGrid({ widthMm, heightMm }: SizeMm): NoteGrid {
  const pairs = Math.round(widthMm / (columnStep * cellMm));
  const columns = Math.min(mostColumns, columnStep * Math.max(1, pairs));
  const rows = Math.min(mostRows, Math.max(1, Math.round(heightMm / cellMm)));
  return { columns, rows, cell: { widthMm: widthMm / columns, heightMm: heightMm / rows } };
}

/** The letter of a column, counted from 0. */
export function columnLetter(column: number): string {
  return String.fromCharCode('A'.charCodeAt(0) + column);
}

/** The name of the last cell, down to the right: what a message says of the grid. */
export function lastCell({ columns, rows }: NoteGrid): string {
  return `${columnLetter(columns - 1)}${rows}`;
}

/** The cell of a place, such as `C4`; undefined in the bleed and beyond. What lies on a line belongs to the cell behind it. */
export function cellOf({ xMm, yMm }: NotePlace, trim: SizeMm): string | undefined {
  const { columns, rows, cell } = noteGrid(trim);
  if (xMm < 0 || yMm < 0 || xMm > trim.widthMm || yMm > trim.heightMm) return undefined;
  const column = Math.min(columns - 1, Math.floor(xMm / cell.widthMm));
  const row = Math.min(rows - 1, Math.floor(yMm / cell.heightMm));
  return `${columnLetter(column)}${row + 1}`;
}

/** `C4`, `c 4`, `C-4`, and `4C` from those who say it the other way round. */
const written = /^(?:([a-z])[ .-]?(\d{1,2})|(\d{1,2})[ .-]?([a-z]))$/i;

/** The middle of a cell, to a tenth of a millimetre; undefined for what is no cell of this page. */
export function placeOfCell(name: string, trim: SizeMm): NotePlace | undefined {
  const [, letter, number, numberFirst, letterBehind] = written.exec(name.trim()) ?? [];
  const column = (letter ?? letterBehind ?? '').toUpperCase().charCodeAt(0) - 'A'.charCodeAt(0);
  const row = Number(number ?? numberFirst) - 1;
  const { columns, rows, cell } = noteGrid(trim);
  if (!(column >= 0 && column < columns && row >= 0 && row < rows)) return undefined;
  return { xMm: tenths((column + 0.5) * cell.widthMm), yMm: tenths((row + 0.5) * cell.heightMm) };
}

function tenths(mm: number): number {
  return Math.round(mm * 10) / 10;
}
