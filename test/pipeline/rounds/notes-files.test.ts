import { describe, expect, test } from 'vitest';
import { csvNotes } from '../../../pipeline/rounds/notes-csv.js';
import { notesCsv, notesYaml } from '../../../pipeline/rounds/notes-template.js';
import { PageWords } from '../../../pipeline/rounds/page-words.js';
import { readNotes } from '../../../pipeline/rounds/read-notes.js';

const spec = { trim: { widthMm: 160, heightMm: 260 }, bleedMm: 3 };
const spreadSpec = { trim: { widthMm: 320, heightMm: 260 }, bleedMm: 3 };
const pages = [
  { id: 'cover', numbers: [], aliases: ['front-cover', 'titelbild'], spec },
  { id: '5', numbers: [5], aliases: [], spec },
  { id: '6-7', numbers: [6, 7], aliases: [], spec: spreadSpec },
  { id: '008', numbers: [8], aliases: [], spec },
];
const words = new PageWords(pages);

function read(text: string, form: 'csv' | 'yaml' = 'csv') {
  const { rows, closed, mistakes } = readNotes({ file: 'rounds/1/notes', form }, text, words);
  const said = rows
    .filter(({ note, verdict }) => note !== undefined || verdict !== undefined)
    .map(({ page, verdict = '', note }) => [page, verdict, note?.text ?? '', note?.cell ?? ''].join('|'));
  const closes = [...rows.flatMap((row) => row.closes), ...closed].map(({ text }) => text);
  return {
    said,
    closes,
    mistakes: mistakes.map(({ line, column, message }) => `${line}:${column} ${message}`),
    rows,
  };
}

describe('how editors hand their notes in', () => {
  test('the forms as they were written say nothing, and nothing is wrong in them', () => {
    const form = pages.map(({ id }) => ({ page: id, state: 'done', change: 'new' }));
    for (const [kind, text] of [
      ['csv', notesCsv(form).slice(1)],
      ['yaml', notesYaml(form)],
    ] as const) {
      expect(read(text, kind)).toMatchObject({ said: [], closes: [], mistakes: [] });
    }
  });

  test('by a spreadsheet with commas, quotes doubled, a line break inside, several notes on one page', () => {
    const text =
      'page,verdict,note,xMm,yMm,grid\r\n' +
      '5,change,"She says ""No"", not ""Now"".\r\nSee script.",,,C4\r\n' +
      '5,,The moon is too yellow,12.5,30,\r\n' +
      'cover,accepted,,,,\r\n';
    expect(read(text)).toMatchObject({
      said: [
        '5|change|She says "No", not "Now".\nSee script.|C4',
        '5||The moon is too yellow|A2',
        'cover|accepted||',
      ],
      mistakes: [],
    });
  });

  test('by a spreadsheet with semicolons and decimal commas, its explanations dealt out over empty cells', () => {
    const text =
      '# Notes on this round.;;;;\nPage;Verdict;Note;X mm;Y (mm)\nSeite 5;CHANGE;Tür grün, nicht rot;12,5;30\n"p6-7";Ok;;;\n';
    expect(read(text)).toMatchObject({
      said: ['5|change|Tür grün, nicht rot|A2', '6-7|accepted||'],
      mistakes: [],
    });
  });

  test('by a spreadsheet that kept each line in one cell', () => {
    const text = '"page,verdict,note"\n"5,change,""too dark, all of it"""\n';
    expect(read(text).said).toEqual(['5|change|too dark, all of it|']);
  });

  test('by hand, with tabs, old line ends, and pages as people call them', () => {
    const text = 'page\tnote\rp. 8\ta\rpages 6/7\tb\r7\tc\r#8\td\rCover Front\te\rTITELBILD\tf\r';
    expect(read(text)).toMatchObject({
      said: ['008||a|', '6-7||b|', '6-7||c|', '008||d|', 'cover||e|', 'cover||f|'],
      mistakes: [],
    });
  });

  test('in YAML, with text of several lines and names to close in a list', () => {
    const text =
      'notes:\n  - page: 008\n    verdict: Change\n    note: |\n      Tür: grün\n      und größer\n    grid: h13\n    closed: [r1-5, r1-8-mara]\nclosed:\n  - r1-cover\n';
    expect(read(text, 'yaml')).toMatchObject({
      said: ['008|change|Tür: grün\nund größer|H13'],
      closes: ['r1-5', 'r1-8-mara', 'r1-cover'],
      mistakes: [],
    });
  });
});

test('a list of one page has no page 9', () => {
  const one = new PageWords([pages[1]]);
  expect([one.find('9'), one.find('cover'), one.find(''), one.find('p')]).toEqual(Array(4).fill(undefined));
  expect(one.find('p5')?.id).toBe('5');
});

describe('a mistake is told with its place, and everything else counts', () => {
  test('unknown pages, verdicts, cells of the grid, places outside, with the words that do not count', () => {
    const text =
      'page,verdict,note,xMm,yMm,grid\n' +
      '9,change,lost?,,,\n' +
      '5,acepted,a,,,\n' +
      '5,,b,,,K4\n' +
      '5,,c,500,3,\n' +
      '5,,d,12,,\n' +
      '5,,e,left,3,\n' +
      ',,no page,,,\n' +
      '5,accepted,f,,,\n';
    const { said, mistakes } = read(text);
    expect(said).toEqual(['5||a|', '5||b|', '5||c|', '5||d|', '5||e|', '5|accepted|f|']);
    expect(mistakes).toEqual([
      '2:1 there is no page "9" in the page list; it says "lost?"',
      '3:3 the verdict "acepted" is not known (did you mean "accepted"?)',
      '4:8 "K4" is no cell of this page: its grid goes from A1 to H13',
      '5:6 the place 500, 3 mm lies outside the page of 160 x 260 mm',
      '6:6 a place has xMm without yMm',
      '7:6 "left" is no length in millimetres',
      '8:1 this row names no page; it says "no page"',
    ]);
  });

  test('a quote that is never closed costs its own line only', () => {
    const text =
      'page,verdict,note,xMm\n5,change,"too dark, here,\n008,accepted,"fine",\ncover,,"say "no" here",\n';
    const { said, mistakes } = read(text);
    expect(said).toEqual(['5|change|too dark, here|', '008|accepted|fine|', 'cover||say "no" here|']);
    expect(mistakes).toEqual([
      '2:10 a quote is opened here and never closed',
      '4:8 quotes stand inside a text in quotes',
    ]);
  });

  test('lines are counted through texts of several lines', () => {
    const { mistakes } = read('page,note\n5,"one\ntwo\r\nthree"\n99,x\n');
    expect(mistakes).toEqual(['5:1 there is no page "99" in the page list; it says "x"']);
  });

  test.each(['07. Jun', '7-Jun', 'Jun 07', '2026-06-07 00:00:00', '06.07.2026'])(
    'a spread that a spreadsheet has made the date %s of is told as that',
    (date) => {
      expect(read(`page,note\n${date},x\n`).mistakes).toEqual([
        `2:1 the page is "${date}", a date that a spreadsheet has made of it; it says "x"`,
      ]);
    },
  );

  test('what a spreadsheet made of a note that begins like a formula', () => {
    expect(read('page,note\n5,#NAME?\n008,=HYPERLINK("x")\n').mistakes).toEqual([
      '2:3 the spreadsheet took this note for a formula: of its words only "#NAME?" is left',
    ]);
  });

  test('columns that are unknown or stand twice, and words beyond the last one', () => {
    const { said, mistakes } = read('page,note,verdit,note\n5,a,change,b,c\n');
    expect(said).toEqual(['5||a|']);
    expect(mistakes).toEqual([
      '1:11 the column "verdit" is not known (did you mean "verdict"?)',
      '1:18 the column note stands here twice',
      '2:14 "c" stands beyond the last column',
    ]);
  });

  test('without names of columns the order of the form counts', () => {
    const { said, mistakes } = read('5,change,too dark\n');
    expect(said).toEqual(['5|change|too dark|']);
    expect(mistakes).toEqual(['1:1 the line with the names of the columns is missing']);
  });

  test('one entry of YAML that cannot be read leaves the others', () => {
    const text =
      'notes:\n  - page: 5\n    note: "open\n  - page: 8\n    note: sound\n  - page: cover\n    colour: red\n    note: x\nclosed: r1-5\n';
    const { said, closes, mistakes } = read(text, 'yaml');
    expect(said).toEqual(['008||sound|', 'cover||x|']);
    expect(closes).toEqual(['r1-5']);
    expect(mistakes.map((each) => each.split(' ')[0])).toEqual(['3:16', '7:5']);
  });

  test('10 000 lines are read in well under a second', () => {
    const lines = Array.from(
      { length: 10_000 },
      (_, i) => `5,change,"note ${i}, ""quoted""",12.5,30,,,r1-${i},`,
    );
    const started = performance.now();
    const { rows } = csvNotes(`page,verdict,note,xMm,yMm,grid,name,closed,about\n${lines.join('\n')}\n`);
    expect(rows.length).toBe(10_000);
    expect(performance.now() - started).toBeLessThan(1000);
  });
});
