import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { messageOf, PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { identityOf, sameIdentity } from '../files/file-identity.js';
import type { PageNotes } from '../model/page-notes.js';
import type { FileIdentity } from '../model/page-request.js';
import { type NoteBook, type NotedRound, noteBook, type ReadNotes } from './note-book.js';
import { type NotedPage, type ReadRow, readRow } from './note-fields.js';
import type { FoundMistake, NoteRows } from './note-rows.js';
import { csvNotes } from './notes-csv.js';
import { type ListedNotes, listNotes, type NoteMistake, notesText } from './notes-files.js';
import { yamlNotes } from './notes-yaml.js';
import { PageWords } from './page-words.js';
import { type RoundRecord, readRounds, roundsFolder } from './round-record.js';

/** What of a job its notes are read by. */
export type NotedJob = Pick<Job, 'folder' | 'pages'>;

/** Nobody has written anything. */
const emptyBook: NoteBook = { pages: new Map(), mistakes: [] };

/** As young as the clock's own grain, a file may be written once more without its times telling. */
const youngMs = 2000;

/** Reads the notes of a job again and again: a file that has not changed is not read a second time. */
export class NotesReader {
  private readonly known = new Map<string, { readonly seen: FileIdentity; readonly read: ReadNotes }>();
  private pages: readonly NotedPage[] = [];
  private words = new PageWords<NotedPage>([]);
  private readonly records = new RecordsMemory();
  private book: NoteBook = emptyBook;
  /** All notes as they were last put together, and what from. */
  private whole: NoteBook = emptyBook;
  private from: readonly unknown[] = [];

  /** What was last written about a page; undefined for nothing, and before anything was read. */
  of(page: string): PageNotes | undefined {
    return this.book.pages.get(page);
  }

  /** What was wrong when notes were last read. */
  get mistakes(): readonly NoteMistake[] {
    return this.book.mistakes;
  }

  /**
   * All notes of a job. A round whose record cannot be read is told as a mistake: pages can be worked on all the same.
   */
  async read(job: NotedJob): Promise<NoteBook> {
    this.book = await this.readBook(job);
    return this.book;
  }

  private async readBook({ folder, pages }: NotedJob): Promise<NoteBook> {
    if (pages !== this.pages) {
      this.known.clear();
      this.pages = pages;
      this.words = new PageWords(pages);
    }
    const records = await this.records.read(folder);
    if ('file' in records) return { ...emptyBook, mistakes: [records] };
    if (records.length === 0) return emptyBook;
    const mistakes: NoteMistake[] = [];
    const rounds: NotedRound[] = [];
    for (const record of records) {
      const listed = await listNotes(folder, record.round);
      mistakes.push(...listed.mistakes);
      const files: ReadNotes[] = [];
      for (const file of listed.files) files.push(await this.readFile(folder, file));
      rounds.push({ record, files });
    }
    const book = this.putTogether(rounds);
    return { ...book, mistakes: [...mistakes, ...book.mistakes] };
  }

  /** What was put together before, where nothing has changed since: a daemon asks at every look. */
  private putTogether(rounds: readonly NotedRound[]): NoteBook {
    const from = rounds.flatMap(({ record, files }) => [record, ...files]);
    const isSame = from.length === this.from.length && from.every((each, at) => each === this.from[at]);
    if (!isSame) [this.whole, this.from] = [noteBook(rounds), from];
    return this.whole;
  }

  private async readFile(folder: string, listed: ListedNotes): Promise<ReadNotes> {
    const seen = await identityOf(join(folder, listed.file)).catch(() => undefined);
    const known = this.known.get(listed.file);
    if (seen !== undefined && known !== undefined && sameIdentity(known.seen, seen)) return known.read;
    const { text, mistakes } = await notesText(folder, listed);
    const read = readNotes(listed, text ?? '', this.words, mistakes);
    if (seen !== undefined && Date.now() - seen.ctimeMs > youngMs)
      this.known.set(listed.file, { seen, read });
    return read;
  }
}

/** The records of rounds, read again only when one has been written. */
class RecordsMemory {
  private mark: string | undefined;
  private records: readonly RoundRecord[] = [];

  /** @returns a mistake instead where a record cannot be read */
  async read(folder: string): Promise<readonly RoundRecord[] | NoteMistake> {
    const mark = await markOf(folder);
    if (mark !== undefined && mark === this.mark) return this.records;
    const records = await recordsOf(folder);
    if ('file' in records) return records;
    [this.mark, this.records] = [mark, records];
    return records;
  }
}

/** How the records stand, as a text: the same text, the same records. undefined where that cannot be told. */
async function markOf(folder: string): Promise<string | undefined> {
  const names = await readdir(join(folder, roundsFolder)).catch(() => undefined);
  if (names === undefined) return undefined;
  const seen = await Promise.all(
    names.map((name) => identityOf(join(folder, roundsFolder, name, 'round.json')).catch(() => undefined)),
  );
  const isYoung = seen.some((one) => one !== undefined && Date.now() - one.ctimeMs <= youngMs);
  return isYoung ? undefined : JSON.stringify([folder, names, seen]);
}

async function recordsOf(folder: string): Promise<readonly RoundRecord[] | NoteMistake> {
  try {
    return await readRounds(folder);
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) {
      const message = `rounds cannot be read (${messageOf(thrown)})`;
      return { file: roundsFolder, line: 1, column: 1, message, remedy: 'Check who may read them.' };
    }
    const { what, remedy, place } = thrown;
    const file = place.file?.slice(folder.length + 1).replaceAll('\\', '/') ?? roundsFolder;
    return { file, line: 1, column: 1, message: what, remedy };
  }
}

/**
 * Understands a notes file.
 * @param text without a byte order mark
 * @param pages by what they are called
 * @param before mistakes that were found while its text was read
 */
export function readNotes(
  listed: ListedNotes,
  text: string,
  pages: PageWords<NotedPage>,
  before: readonly NoteMistake[] = [],
): ReadNotes {
  const { rows, closed, mistakes }: NoteRows = listed.form === 'csv' ? csvNotes(text) : yamlNotes(text);
  const found: FoundMistake[] = [...mistakes];
  const understood = rows.flatMap((row): ReadRow[] => {
    const read = readRow(row, pages, found);
    return read === undefined ? [] : [read];
  });
  const own = found.map((mistake) => ({ file: listed.file, ...mistake }));
  return { ...listed, rows: understood, closed, mistakes: [...before, ...own] };
}
