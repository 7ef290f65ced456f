import type { FoundMistake, NoteCell } from './note-rows.js';

/**
 * CSV by RFC 4180, and as people and spreadsheets write it: semicolons or tabs instead of commas, any line end. Own code, since a quote that
 * nobody closed must cost its own line only, and every cell has to know its line and column: libraries give up, or take the rest of
 * the file for one cell.
 */

/** A line of the table; a cell with line breaks makes it several lines of the file. */
export type CsvRecord = readonly NoteCell[];

/** A cell that is longer was not meant to be one: its quote is open. Own choice. */
const longestCell = 10_000;

/** What separates cells. */
export type Separator = ',' | ';' | '\t';

/** The cells of a text; empty lines are left out. Whatever is wrong with quotes is told, and the next line counts again. */
export function csvRecords(
  text: string,
  separator: Separator,
): { readonly records: readonly CsvRecord[]; readonly mistakes: readonly FoundMistake[] } {
  const reader = new CellReader(text, separator);
  const records: CsvRecord[] = [];
  while (!reader.isAtEnd) {
    const record = reader.record();
    if (record.some((cell) => cell.text !== '')) records.push(record);
  }
  return { records, mistakes: reader.mistakes };
}

class CellReader {
  readonly mistakes: FoundMistake[] = [];
  private at = 0;
  private line = 1;
  private lineStart = 0;

  constructor(
    private readonly text: string,
    private readonly separator: Separator,
  ) {}

  get isAtEnd(): boolean {
    return this.at >= this.text.length;
  }

  record(): CsvRecord {
    const cells: NoteCell[] = [];
    for (;;) {
      const { line } = this;
      const column = this.at - this.lineStart + 1;
      cells.push({ text: this.cell().trim(), line, column });
      if (this.text[this.at] !== this.separator) break;
      this.at++;
    }
    this.endLine();
    return cells;
  }

  private cell(): string {
    return this.text[this.at] === '"' ? this.quotedCell() : this.to(this.endOfPlain());
  }

  /** Text up to a place, which is the next to be read. */
  private to(end: number): string {
    const text = this.text.slice(this.at, end);
    this.at = end;
    return text;
  }

  private endOfPlain(): number {
    let end = this.at;
    while (end < this.text.length && !this.isEnd(end)) end++;
    return end;
  }

  private isEnd(at: number): boolean {
    const character = this.text[at];
    return character === this.separator || character === '\n' || character === '\r';
  }

  private quotedCell(): string {
    const start = this.at + 1;
    let quote = this.text.indexOf('"', start);
    while (quote >= 0 && this.text[quote + 1] === '"' && quote - start < longestCell) {
      quote = this.text.indexOf('"', quote + 2);
    }
    const isClosed = quote >= 0 && quote - start < longestCell && this.isCellOver(quote + 1);
    if (!isClosed) return this.brokenCell(quote);
    const raw = this.text.slice(start, quote);
    this.at = quote + 1;
    this.skipBlanks();
    this.countLines(raw, start);
    return raw.includes('\r') || raw.includes('"') ? raw.replaceAll('""', '"').replace(/\r\n?/g, '\n') : raw;
  }

  /** Whether nothing but blanks stands between a closing quote and the end of its cell. */
  private isCellOver(from: number): boolean {
    let at = from;
    while (this.text[at] === ' ' || (this.text[at] === '\t' && this.separator !== '\t')) at++;
    return at >= this.text.length || this.isEnd(at);
  }

  private skipBlanks(): void {
    while (!this.isAtEnd && !this.isEnd(this.at)) this.at++;
  }

  /** A quote that is not closed, or quotes within that are not doubled: the cell ends in its own line. */
  private brokenCell(quote: number): string {
    const start = this.at;
    const column = start - this.lineStart + 1;
    const lineEnd = this.endOfLine(start);
    const isWithin = quote >= 0 && quote < lineEnd;
    const what = isWithin
      ? 'quotes stand inside a text in quotes'
      : 'a quote is opened here and never closed';
    const remedy = isWithin
      ? 'Write each quote inside twice: "He says ""No"".".'
      : 'Close it at the end of the text; the rest of this line was taken as the text.';
    this.mistakes.push({ line: this.line, column, message: what, remedy });
    const end = this.lastQuote(start + 1, lineEnd);
    if (end === undefined) return this.to(lineEnd).slice(1).replace(this.openEnd(), '');
    const raw = this.text.slice(start + 1, end);
    this.at = end + 1;
    this.skipBlanks();
    return raw.replaceAll('""', '"');
  }

  /** Empty cells behind a text that has swallowed them. */
  private openEnd(): RegExp {
    return new RegExp(`["${this.separator}\\s]+$`);
  }

  /** The first quote of a line behind which a cell is over; undefined for none. */
  private lastQuote(from: number, lineEnd: number): number | undefined {
    for (
      let at = this.text.indexOf('"', from);
      at >= 0 && at < lineEnd;
      at = this.text.indexOf('"', at + 1)
    ) {
      if (this.isCellOver(at + 1)) return at;
    }
    return undefined;
  }

  private endOfLine(from: number): number {
    let end = from;
    while (end < this.text.length && this.text[end] !== '\n' && this.text[end] !== '\r') end++;
    return end;
  }

  private countLines(raw: string, start: number): void {
    for (const { index, 0: end } of raw.matchAll(/\r\n|\n|\r/g)) {
      this.line++;
      this.lineStart = start + index + end.length;
    }
  }

  private endLine(): void {
    if (this.text[this.at] === '\r') this.at++;
    if (this.text[this.at] === '\n') this.at++;
    this.line++;
    this.lineStart = this.at;
  }
}
