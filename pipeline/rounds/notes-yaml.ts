import { type JobProblem, pathText } from '../../config/job-file/job-problem.js';
import { type JobTree, readJobYaml } from '../../config/job-file/job-yaml.js';
import {
  columnNamed,
  type FoundMistake,
  type NoteCell,
  type NoteRow,
  type NoteRows,
  quoted,
} from './note-rows.js';
import { type NoteColumn, noteColumns } from './notes-template.js';

/** Reads a notes file in YAML: `notes:` is a list of entries, `closed:` a list of names. */

/** @param text of the file, without a byte order mark */
export function yamlNotes(text: string): NoteRows {
  const whole = readJobYaml(text);
  if (!whole.broken) return entriesOf(whole, 0);
  // One entry that cannot be read must not take the others with it: each is read by itself.
  const parts = piecesOf(text).map((piece) => pieceNotes(piece));
  return {
    rows: parts.flatMap(({ rows }) => rows),
    closed: parts.flatMap(({ closed }) => closed),
    mistakes: parts.flatMap(({ mistakes }) => mistakes),
  };
}

/** Lines of a file that stand for themselves. */
interface Piece {
  readonly text: string;
  /** Lines of the file before it. */
  readonly before: number;
}

/** Cuts a file where an entry of its outermost list begins, and where a key stands at the edge. */
function piecesOf(text: string): Piece[] {
  const lines = text.split(/\r\n?|\n/);
  const indents = lines.flatMap((line) => /^( *)- /.exec(line)?.[1].length ?? []);
  const indent = Math.min(...indents, Number.POSITIVE_INFINITY);
  const starts = lines.flatMap((line, at) => {
    const isEntry = line.startsWith('- ', indent) && line.slice(0, indent).trim() === '';
    return isEntry || /^[^\s#-]/.test(line) ? [at] : [];
  });
  return starts.map((start, i) => ({ text: lines.slice(start, starts[i + 1]).join('\n'), before: start }));
}

function pieceNotes({ text, before }: Piece): NoteRows {
  const tree = readJobYaml(text);
  return tree.broken
    ? { rows: [], closed: [], mistakes: tree.problems.map((one) => syntaxMistake(one, before)) }
    : entriesOf(tree, before);
}

function syntaxMistake({ line, column, message, expected }: JobProblem, before: number): FoundMistake {
  const remedy = `Write ${expected}; what belongs to this entry was not read.`;
  return { line: line + before, column, message, remedy };
}

/** @param before lines of the file before this text */
function entriesOf({ tree, problems, locate }: JobTree, before: number): NoteRows {
  const place: Locate = (at, on = 'value') => {
    const { line, column } = locate({ at, on, message: '', expected: '', example: '' });
    return { line: line + before, column };
  };
  const reader = new EntryReader(place);
  for (const one of problems) reader.mistakes.push(syntaxMistake(one, before));
  reader.readTop(tree);
  return reader;
}

type Path = readonly (string | number)[];
type Locate = (at: Path, on?: 'key' | 'value') => { readonly line: number; readonly column: number };

class EntryReader implements NoteRows {
  readonly rows: NoteRow[] = [];
  readonly closed: NoteCell[] = [];
  readonly mistakes: FoundMistake[] = [];

  constructor(private readonly locate: Locate) {}

  readTop(tree: unknown): void {
    if (Array.isArray(tree)) this.readList(tree, []);
    else if (typeof tree !== 'object') this.wrong([], 'this is no list of notes', listRemedy);
    else for (const [key, value] of Object.entries(tree ?? {})) this.readSection(key, value);
  }

  private readSection(key: string, value: unknown): void {
    if (key === 'closed') this.closed.push(...this.texts(value, [key]));
    else if (key !== 'notes') this.wrong([key], `${quoted(key)} is not known here`, listRemedy, 'key');
    else if (Array.isArray(value)) this.readList(value, [key]);
    else if (value !== null) this.wrong([key], 'notes is no list', listRemedy);
  }

  private readList(list: readonly unknown[], at: Path): void {
    for (const [i, entry] of list.entries()) {
      if (entry === null) continue;
      if (typeof entry === 'object' && !Array.isArray(entry)) this.readEntry(entry, [...at, i]);
      else this.wrong([...at, i], `${quoted(String(entry))} is no entry with keys`, listRemedy);
    }
  }

  private readEntry(entry: object, at: Path): void {
    const cells: Partial<Record<NoteColumn, NoteCell>> = {};
    for (const [key, value] of Object.entries(entry)) {
      const column = columnNamed(key);
      if (column === undefined) {
        this.wrong(
          [...at, key],
          `the key ${quoted(key)} is not known`,
          `Known are ${noteColumns.join(', ')}.`,
          'key',
        );
      } else {
        const texts = this.texts(value, [...at, key]);
        if (texts.length > 0) cells[column] = { ...texts[0], text: texts.map(({ text }) => text).join(' ') };
      }
    }
    this.rows.push({ ...this.locate(at), cells });
  }

  /** A text, or the texts of a list. */
  private texts(value: unknown, at: Path): NoteCell[] {
    if (value === null) return [];
    if (typeof value === 'string') {
      const text = value.replace(/\r\n?/g, '\n').trim();
      return text === '' ? [] : [{ text, ...this.locate(at) }];
    }
    if (Array.isArray(value)) return value.flatMap((each, i) => this.texts(each, [...at, i]));
    this.wrong(at, `${pathText(at)} is neither a text nor a list`, 'Put a text with a colon into quotes.');
    return [];
  }

  private wrong(at: Path, message: string, remedy: string, on: 'key' | 'value' = 'value'): void {
    this.mistakes.push({ ...this.locate(at, on), message, remedy });
  }
}

const listRemedy =
  'Write a list below notes:, each entry with page: and what you have to say, and names below closed:.';
