import type { TextPdf } from '../pdf/text-file.js';
import type { FontWeight } from '../pdf/text-font.js';
import type { FactSection } from './delivery-news.js';

/** Text of the receiver's sheet in columns: broken between words, nothing left out. Lengths in points. */

/** A line as it is set. */
export interface SetLine {
  readonly text: string;
  readonly weight: FontWeight;
  readonly indent: number;
  /** From the line before to this one; at the top of a column the space above a heading is left out. */
  readonly advance: number;
  /** Whether it begins a section, so that it may not stand last in a column. */
  readonly isHeading: boolean;
}

/** Height of the em, and from line to line. */
export const bodyPoints = 7.6;
const leading = 9.4;
const sectionGap = 5;
/** Of a line that belongs to the one before, and of what is broken. */
const step = 8;

/** The lines of all sections. @param width of a column */
export function setSections(pdf: TextPdf, sections: readonly FactSection[], width: number): SetLine[] {
  return sections.flatMap(({ heading, lines, isUrgent }) => {
    const head = heading === undefined ? [] : setLine(pdf, heading, 'bold', 0, width);
    const body = lines.flatMap((line) => {
      const blanks = line.length - line.trimStart().length;
      const weight = isUrgent === true && blanks === 0 ? 'bold' : 'regular';
      return setLine(pdf, line.trimStart(), weight, (blanks / 2) * step, width);
    });
    return [...head.map((line) => ({ ...line, isHeading: true })), ...body].map((line, i) =>
      i === 0 ? { ...line, advance: leading + sectionGap } : line,
    );
  });
}

function setLine(pdf: TextPdf, line: string, weight: FontWeight, indent: number, width: number): SetLine[] {
  return brokenText(pdf, line, { weight, size: bodyPoints, width: width - indent, hang: step }).map(
    (text, i) => ({
      ...{ text, weight, advance: leading, isHeading: false },
      indent: indent + (i === 0 ? 0 : step),
    }),
  );
}

/** How a text is broken: the first line has all of the width, the others less by `hang`. */
interface Breaking {
  readonly weight: FontWeight;
  readonly size: number;
  readonly width: number;
  readonly hang: number;
}

/** A text in lines, between words; a word that is wider than a line is broken within. */
export function brokenText(pdf: TextPdf, text: string, { weight, size, width, hang }: Breaking): string[] {
  const font = pdf.fonts[weight];
  const lines: string[] = [];
  let line = '';
  const room = () => width - (lines.length === 0 ? 0 : hang);
  for (const word of font.settable(text).split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (font.width(longer, size) <= room()) {
      line = longer;
      continue;
    }
    if (line !== '') lines.push(line);
    line = '';
    for (const sign of word) {
      if (line !== '' && font.width(line + sign, size) > room()) {
        lines.push(line);
        line = '';
      }
      line += sign;
    }
  }
  return line === '' ? lines : [...lines, line];
}

/** Lines of a column, and those that are left. */
export interface Filled {
  readonly column: readonly SetLine[];
  readonly height: number;
  readonly rest: readonly SetLine[];
}

/** As many lines as fit; a heading goes with the line below it. */
function filled(lines: readonly SetLine[], height: number): Filled {
  let used = 0;
  let count = 0;
  while (count < lines.length) {
    const more = count === 0 ? leading : lines[count].advance;
    if (used + more > height) break;
    used += more;
    count++;
  }
  // A line alone that does not fit anywhere is set nevertheless.
  const fit = count;
  if (count < lines.length) while (count > 1 && lines[count - 1].isHeading) count--;
  const end = Math.max(1, count);
  return {
    column: lines.slice(0, end),
    height: fit === end ? used : heightOf(lines.slice(0, end)),
    rest: lines.slice(end),
  };
}

function heightOf(lines: readonly SetLine[]): number {
  return lines.reduce((sum, { advance }, i) => sum + (i === 0 ? leading : advance), 0);
}

/** Two columns of one height, the lowest that holds all; where none does, as much as fits into the height that there is. */
export function twoColumns(lines: readonly SetLine[], most: number): readonly [Filled, Filled] {
  const inBoth = (height: number): readonly [Filled, Filled] => {
    const left = filled(lines, height);
    return [left, filled(left.rest, height)];
  };
  for (let height = heightOf(lines) / 2; height < most; height += leading / 2) {
    const both = inBoth(height);
    if (both[1].rest.length === 0) return both;
  }
  return inBoth(most);
}
