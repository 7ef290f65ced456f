import { didYouMean } from '../../config/job-file/job-problem.js';
import { clashKey } from '../../config/portable-name.js';
import { madeOf, type PageNote, type PageNotes, type PageVerdict } from '../model/page-notes.js';
import type { ReadRow } from './note-fields.js';
import { type NoteCell, quoted } from './note-rows.js';
import type { ListedNotes, NoteMistake } from './notes-files.js';
import type { RoundRecord } from './round-record.js';

/** All notes of a job put together: what each is called, what closed it, and how pages are judged. */

/** A notes file, understood. */
export interface ReadNotes extends ListedNotes {
  readonly rows: readonly ReadRow[];
  /** Names that it closes beside any row. */
  readonly closed: readonly NoteCell[];
  readonly mistakes: readonly NoteMistake[];
}

/** A round and what editors wrote about it. */
export interface NotedRound {
  readonly record: Pick<RoundRecord, 'round' | 'pages'>;
  /** Those without an editor first, then by name. */
  readonly files: readonly ReadNotes[];
}

/** What editors wrote in all rounds. */
export interface NoteBook {
  /** By page id; pages of which nobody said anything are not in it. */
  readonly pages: ReadonlyMap<string, PageNotes>;
  /** In the order of rounds, files and lines. */
  readonly mistakes: readonly NoteMistake[];
}

/** A note while it is not known yet what closes it. */
type Draft = { -readonly [Key in keyof PageNote]: PageNote[Key] };

/** @param rounds the oldest first */
export function noteBook(rounds: readonly NotedRound[]): NoteBook {
  const book = new BookMaker();
  for (const round of rounds) book.takeNotes(round);
  // A note may be closed in its own round, by a file that stands before its own.
  for (const round of rounds) book.takeClosings(round);
  for (const round of rounds) book.takeVerdicts(round);
  const mistakes = rounds.flatMap(({ files }) => files.flatMap((file) => book.mistakesIn(file)));
  return { pages: book.pages(), mistakes };
}

class BookMaker {
  private readonly byName = new Map<string, Draft>();
  private readonly byPage = new Map<string, Draft[]>();
  private readonly verdicts = new Map<string, PageVerdict>();
  private readonly found = new Map<ReadNotes, NoteMistake[]>();

  takeNotes({ record, files }: NotedRound): void {
    const before = new Map(record.pages.map(({ page, used }) => [page, madeOf(used)]));
    for (const file of files) {
      for (const row of file.rows) {
        if (row.note === undefined) continue;
        const { text, place, cell } = row.note;
        const notes = this.byPage.get(row.page) ?? [];
        this.byPage.set(row.page, notes);
        const note: Draft = {
          name: this.nameOf(file, row, record.round),
          ...{ number: notes.length + 1, round: record.round, text },
          ...(file.editor === undefined ? {} : { editor: file.editor }),
          ...(place === undefined ? {} : { place }),
          ...(cell === undefined ? {} : { cell }),
          madeOf: before.get(row.page) ?? [],
        };
        if (row.note.isClosed) note.closedBy = closedWords(record.round, file.editor);
        notes.push(note);
        this.byName.set(clashKey(note.name), note);
      }
    }
  }

  /** The editor's own name where it is one and nobody has it yet, else round, page, editor and a number that counts from 2. */
  private nameOf(file: ReadNotes, { page, note }: ReadRow, round: number): string {
    const own = note?.name;
    if (own !== undefined) {
      const isFit = ownName.test(own.text);
      if (isFit && !this.byName.has(clashKey(own.text))) return own.text;
      const why = isFit
        ? `the name ${quoted(own.text)} is another note's already`
        : `${quoted(own.text)} cannot be the name of a note`;
      this.tell(file, own, why, isFit ? 'Give each note a name of its own.' : nameRemedy);
    }
    const stem = [`r${round}`, page, ...(file.editor === undefined ? [] : [file.editor])].join('-');
    for (let count = this.counts.get(stem) ?? 1; ; count++) {
      const name = count === 1 ? stem : `${stem}-${count}`;
      this.counts.set(stem, count + 1);
      if (!this.byName.has(clashKey(name))) return name;
    }
  }

  private readonly counts = new Map<string, number>();

  takeClosings({ record: { round }, files }: NotedRound): void {
    for (const file of files) {
      for (const cell of [...file.rows.flatMap(({ closes }) => closes), ...file.closed]) {
        const note = this.named(cell.text);
        if (note === undefined) {
          const message = `there is no note ${quoted(cell.text)} to close${didYouMean(cell.text, this.someNames())}`;
          this.tell(file, cell, message, 'Copy its name from the proof, the report or: platehand status.');
        } else if (note.round > round) {
          const message = `${note.name} is a note of round ${note.round}, which came later`;
          this.tell(file, cell, message, `Close it in a notes file of round ${note.round} or later.`);
        } else note.closedBy ??= closedWords(round, file.editor);
      }
    }
  }

  /** By its name, also without the r in front: `1-7`. */
  private named(name: string): Draft | undefined {
    return this.byName.get(clashKey(name)) ?? this.byName.get(clashKey(`r${name}`));
  }

  /** Names are compared letter by letter; where thousands are wrong, nobody reads a hint at each. */
  private someNames(): string[] {
    const isEnough = ++this.hints > mostHints;
    return isEnough ? [] : [...this.byName.values()].slice(-mostCompared).map(({ name }) => name);
  }

  private hints = 0;

  takeVerdicts({ record, files }: NotedRound): void {
    const before = new Map(record.pages.map(({ page, used }) => [page, madeOf(used)]));
    const judged = new Map<string, PageVerdict>();
    for (const file of files) {
      const inFile = new Map<string, ReadRow>();
      for (const row of file.rows) {
        const { page, verdict } = row;
        if (verdict === undefined) continue;
        if ((inFile.get(page)?.verdict ?? verdict) !== verdict) {
          const message = `page ${page} is accepted in one row of this file and to be changed in another`;
          this.tell(file, row, message, 'Give it one verdict; until then it is to be changed.');
        }
        inFile.set(page, row);
        const isChange = judged.get(page)?.verdict === 'change' || verdict === 'change';
        const now = { round: record.round, madeOf: before.get(page) ?? [] };
        judged.set(page, { verdict: isChange ? 'change' : 'accepted', ...now });
      }
    }
    for (const [page, verdict] of judged) this.judge(page, verdict);
  }

  /** A page that is accepted has what was asked for in rounds before. */
  private judge(page: string, verdict: PageVerdict): void {
    this.verdicts.set(page, verdict);
    if (verdict.verdict !== 'accepted') return;
    for (const note of this.byPage.get(page) ?? []) {
      if (note.round < verdict.round)
        note.closedBy ??= `closed as the page was accepted in round ${verdict.round}`;
    }
  }

  private tell(
    file: ReadNotes,
    cell: { line: number; column: number },
    message: string,
    remedy: string,
  ): void {
    const found = this.found.get(file) ?? [];
    found.push({ file: file.file, line: cell.line, column: cell.column, message, remedy });
    this.found.set(file, found);
  }

  mistakesIn(file: ReadNotes): NoteMistake[] {
    const all = [...file.mistakes, ...(this.found.get(file) ?? [])];
    return all.sort((a, b) => a.line - b.line || a.column - b.column);
  }

  pages(): Map<string, PageNotes> {
    const ids = new Set([...this.byPage.keys(), ...this.verdicts.keys()]);
    return new Map(
      [...ids].map((id) => {
        const verdict = this.verdicts.get(id);
        return [id, { notes: this.byPage.get(id) ?? [], ...(verdict === undefined ? {} : { verdict }) }];
      }),
    );
  }
}

/** As names stand in a list with blanks between. */
const ownName = /^[\p{L}\p{N}][\p{L}\p{M}\p{N}._-]{0,39}$/u;
const nameRemedy = 'Use up to 40 letters, digits, hyphens, underscores and full stops, without blanks.';
const mostCompared = 500;
const mostHints = 50;

function closedWords(round: number, editor: string | undefined): string {
  return `closed in round ${round}${editor === undefined ? '' : ` by ${editor}`}`;
}
