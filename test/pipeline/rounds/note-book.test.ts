import { describe, expect, test } from 'vitest';
import { cellOf, noteGrid, placeOfCell } from '../../../pipeline/model/note-grid.js';
import { acceptanceOf, isNewer, standingNotes } from '../../../pipeline/model/page-notes.js';
import { type NotedRound, noteBook } from '../../../pipeline/rounds/note-book.js';
import { PageWords } from '../../../pipeline/rounds/page-words.js';
import { readNotes } from '../../../pipeline/rounds/read-notes.js';

const spec = { trim: { widthMm: 160, heightMm: 260 }, bleedMm: 3 };
const words = new PageWords(['7', '8'].map((id) => ({ id, numbers: [Number(id)], aliases: [], spec })));

/** A round in which page 7 was made of one file, and what editors wrote about it, by editor; '' is notes.csv. */
function round(number: number, sha256: string, notes: Readonly<Record<string, string>>): NotedRound {
  const used = [{ name: 'p07.png', part: 'whole', bytes: 1, sha256 }];
  const page = { page: '7', state: 'done', used, files: [], change: 'new' as const };
  const files = Object.entries(notes)
    .sort()
    .map(([editor, rows]) => {
      const listed = {
        file: `rounds/${number}/notes${editor === '' ? '' : `-${editor}`}.csv`,
        form: 'csv' as const,
        ...(editor === '' ? {} : { editor }),
      };
      return readNotes(listed, `page,verdict,note,name,closed\n${rows}`, words);
    });
  return { record: { round: number, pages: [page] }, files };
}

function stateOf(rounds: readonly NotedRound[], now: readonly string[]) {
  const { pages, mistakes } = noteBook(rounds);
  const page = pages.get('7');
  return {
    notes: standingNotes(page?.notes ?? [], now).map(({ name, state }) => `${name} ${state}`),
    verdict: acceptanceOf(page?.verdict, now).state,
    mistakes: mistakes.map(({ file, line, column, message }) => `${file}:${line}:${column} ${message}`),
  };
}

describe('what a note is called', () => {
  test('by round, page, editor and a number, or as its editor calls it', () => {
    const { notes } = stateOf(
      [
        round(1, 'a', { '': '7,,one\n7,,two\n', mara: '7,,three\n7,,four\n7,,five,moon\n' }),
        round(2, 'a', { jon: '7,,six\n' }),
      ],
      ['a'],
    );
    expect(notes.map((note) => note.split(' ')[0])).toEqual([
      'r1-7',
      'r1-7-2',
      'r1-7-mara',
      'r1-7-mara-2',
      'moon',
      'r2-7-jon',
    ]);
  });

  test('two notes never share a name, whatever editors are called', () => {
    const { notes, mistakes } = stateOf(
      [round(1, 'a', { '': '7,,one\n7,,two,moon\n', '2': '7,,three\n7,,four,Moon\n' })],
      ['a'],
    );
    expect(new Set(notes.map((note) => note.split(' ')[0])).size).toBe(4);
    expect(mistakes).toEqual(['rounds/1/notes-2.csv:3:9 the name "Moon" is another note\'s already']);
  });
});

describe('where a note stands', () => {
  const rounds = [round(1, 'a', { '': '7,change,too dark\n' })];

  test('open until its page is made of other files, then answered', () => {
    expect(stateOf(rounds, ['a']).notes).toEqual(['r1-7 open']);
    expect(stateOf(rounds, ['b']).notes).toEqual(['r1-7 answered']);
  });

  test('files that went away answer nothing', () => {
    expect(isNewer(['a'], [])).toBe(false);
    expect(isNewer([], ['a'])).toBe(true);
    expect(isNewer(['a', 'b'], ['a'])).toBe(true);
  });

  test('closed by its name from a later round, with or without the r', () => {
    for (const name of ['r1-7', '1-7', 'R1-7']) {
      const later = round(2, 'b', { mara: `,,,,${name}\n` });
      expect(stateOf([...rounds, later], ['b'])).toMatchObject({ notes: ['r1-7 closed'], mistakes: [] });
    }
  });

  test('closed by yes in its own row', () => {
    expect(stateOf([round(1, 'a', { '': '7,,too dark,,yes\n' })], ['a']).notes).toEqual(['r1-7 closed']);
  });

  test('closed as its page is accepted in a round after it, not in its own', () => {
    const own = round(1, 'a', { '': '7,accepted,nice sky\n' });
    expect(stateOf([own], ['a']).notes).toEqual(['r1-7 open']);
    expect(stateOf([own, round(2, 'b', { jon: '7,accepted\n' })], ['b']).notes).toEqual(['r1-7 closed']);
  });

  test("a name that is nobody's, and one of a later round, are told", () => {
    const early = round(1, 'a', { '': '7,,one,,r1-8 r2-7\n' });
    expect(stateOf([early, round(2, 'a', { '': '7,,two\n' })], ['a']).mistakes).toEqual([
      'rounds/1/notes.csv:2:9 there is no note "r1-8" to close (did you mean "r1-7"?)',
      'rounds/1/notes.csv:2:14 r2-7 is a note of round 2, which came later',
    ]);
  });
});

describe('whether a page is accepted', () => {
  test('by the newest round that says so, until a newer version comes', () => {
    const first = round(1, 'a', { '': '7,change\n' });
    const second = round(2, 'b', { '': '7,accepted\n' });
    expect(stateOf([], ['a']).verdict).toBe('not judged');
    expect(stateOf([first], ['a']).verdict).toBe('change');
    expect(stateOf([first, second], ['b']).verdict).toBe('accepted');
    expect(stateOf([first, second, round(3, 'b', { '': '8,change\n' })], ['b']).verdict).toBe('accepted');
    expect(stateOf([first, second], ['c']).verdict).toBe('changed since');
  });

  test('one editor who wants a change is enough, and one file that says both is told', () => {
    const differ = round(1, 'a', { jon: '7,change\n', mara: '7,accepted\n' });
    expect(stateOf([differ], ['a'])).toMatchObject({ verdict: 'change', mistakes: [] });
    const both = stateOf([round(1, 'a', { '': '7,accepted\n7,change\n' })], ['a']);
    expect(both.verdict).toBe('change');
    expect(both.mistakes).toEqual([
      'rounds/1/notes.csv:3:1 page 7 is accepted in one row of this file and to be changed in another',
    ]);
  });
});

describe('the grid of a proof', () => {
  test('has cells of about 2 cm that end where the trim ends, also on a spread', () => {
    expect(noteGrid(spec.trim)).toEqual({ columns: 8, rows: 13, cell: { widthMm: 20, heightMm: 20 } });
    expect(noteGrid({ widthMm: 336.55, heightMm: 260.35 })).toMatchObject({ columns: 16, rows: 13 });
    expect(noteGrid({ widthMm: 1200, heightMm: 25 })).toMatchObject({ columns: 26, rows: 1 });
  });

  test('leads from every cell to its middle and back', () => {
    for (const trim of [spec.trim, { widthMm: 336.55, heightMm: 260.35 }, { widthMm: 25, heightMm: 25 }]) {
      const { columns, rows } = noteGrid(trim);
      const last = `${String.fromCharCode(64 + columns)}${rows}`;
      for (const cell of ['A1', last]) {
        const place = placeOfCell(cell, trim);
        expect(place && cellOf(place, trim)).toBe(cell);
      }
    }
    expect(placeOfCell('c 4', spec.trim)).toEqual({ xMm: 50, yMm: 70 });
    expect(placeOfCell('4C', spec.trim)).toEqual({ xMm: 50, yMm: 70 });
    expect([
      placeOfCell('I1', spec.trim),
      placeOfCell('A14', spec.trim),
      placeOfCell('A0', spec.trim),
    ]).toEqual([undefined, undefined, undefined]);
    expect([cellOf({ xMm: -1, yMm: 5 }, spec.trim), cellOf({ xMm: 160, yMm: 260 }, spec.trim)]).toEqual([
      undefined,
      'H13',
    ]);
  });
});
