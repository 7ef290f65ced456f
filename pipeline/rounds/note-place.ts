import type { PrintSpec } from '../../config/print-spec.js';
import { cellOf, lastCell, noteGrid, placeOfCell } from '../model/note-grid.js';
import type { NotePlace } from '../model/page-notes.js';
import { type NoteCell, type NoteRow, quoted } from './note-rows.js';

/** Where on its page a note is, by millimetres or by the grid of the proof. */

/** What of a page's print spec says where it ends. */
export type NotedSize = Pick<PrintSpec, 'trim' | 'bleedMm'>;

/** Says what is wrong with a cell. */
export type Tell = (cell: Pick<NoteCell, 'line' | 'column'>, message: string, remedy: string) => void;

/** A note's place, if it has one. */
export interface Placed {
  readonly place?: NotePlace;
  readonly cell?: string;
}

/** The place of a note, by millimetres or by the grid. */
export function placedOf({ cells }: NoteRow, { trim, bleedMm }: NotedSize, tell: Tell): Placed {
  const { xMm, yMm, grid } = cells;
  const inMm = mmPlace(xMm, yMm, { trim, bleedMm }, tell);
  if (inMm !== undefined) {
    const cell = cellOf(inMm, trim);
    return { place: inMm, ...(cell === undefined ? {} : { cell }) };
  }
  if (grid === undefined) return {};
  const place = placeOfCell(grid.text, trim);
  if (place === undefined) {
    tell(
      grid,
      `${quoted(grid.text)} is no cell of this page: its grid goes from A1 to ${lastCell(noteGrid(trim))}`,
      gridRemedy,
    );
    return {};
  }
  const cell = cellOf(place, trim);
  return { place, ...(cell === undefined ? {} : { cell }) };
}

const gridRemedy =
  'Read the letter at the top edge of the proof and the number at its side; the note counts without a place.';

function mmPlace(
  xMm: NoteCell | undefined,
  yMm: NoteCell | undefined,
  size: NotedSize,
  tell: Tell,
): NotePlace | undefined {
  const given = xMm ?? yMm;
  if (given === undefined) return undefined;
  if (xMm === undefined || yMm === undefined) {
    tell(
      given,
      `a place has ${xMm === undefined ? 'yMm without xMm' : 'xMm without yMm'}`,
      'Give both, or a cell of the grid.',
    );
    return undefined;
  }
  const [x, y] = [xMm, yMm].map((cell) => lengthOf(cell, tell));
  if (x === undefined || y === undefined) return undefined;
  const { trim, bleedMm } = size;
  const isOn = (at: number, length: number) => at >= -bleedMm && at <= length + bleedMm;
  if (isOn(x, trim.widthMm) && isOn(y, trim.heightMm)) return { xMm: x, yMm: y };
  const page = `${figure(trim.widthMm)} x ${figure(trim.heightMm)} mm`;
  tell(
    isOn(x, trim.widthMm) ? yMm : xMm,
    `the place ${figure(x)}, ${figure(y)} mm lies outside the page of ${page}`,
    outsideRemedy,
  );
  return undefined;
}

const outsideRemedy =
  'Measure in millimetres from the upper left corner of the trim; the note counts without a place.';

/** A length as people write it: `12.5`, `12,5`, `12 mm`. */
function lengthOf(cell: NoteCell, tell: Tell): number | undefined {
  const [, digits] = /^([-\u2212]?\d{1,5}(?:[.,]\d{1,6})?)\s*(?:mm)?$/i.exec(cell.text) ?? [];
  if (digits !== undefined) return Number(digits.replace(',', '.').replace('\u2212', '-'));
  const what = looksLikeDate(cell.text) ? ', a date that a spreadsheet has made of it' : '';
  tell(
    cell,
    `${quoted(cell.text)} is no length in millimetres${what}`,
    'Write a number such as 42 or 42.5; the note counts without a place.',
  );
  return undefined;
}

function figure(mm: number): string {
  return String(Math.round(mm * 10) / 10);
}

const months = '(?:jan|feb|m[aä]r|mrz|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])[\\p{L}.]*';
/** `07. Jun`, `7-Jun`, `Jun 07`, `2026-06-07`, `06.07.2026`, `6/7/26`. */
const datePattern = new RegExp(
  `^(?:\\d{1,2}[-. /]+${months}([-. /]+\\d{2,4})?|${months}[-. /]+\\d{1,4}|\\d{4}-\\d{2}-\\d{2}.*|\\d{1,2}[./]\\d{1,2}[./](?:\\d{2,4})?)$`,
  'iu',
);

/** Whether a text is what spreadsheets make of `6-7` and `12.5`. */
export function looksLikeDate(text: string): boolean {
  return datePattern.test(text);
}
