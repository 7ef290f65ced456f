/**
 * The forms that an editor fills in for a round: `notes.csv` for spreadsheets and `notes.yaml` for text editors. Both say the same, and
 * both are read, also under names of their own (`notes-mara.csv`).
 */

/** A page as a form names it. */
export interface FormPage {
  /** Page id in the page list. */
  readonly page: string;
  /** State of the page when the round was frozen, as `status` shows it. */
  readonly state: string;
  /** Whether it is another picture than in the round before: `new`, `changed`, `unchanged`, `absent`. */
  readonly change: string;
}

/** What a note may say, in the order of the columns; `about` is for the reader's eyes and is not read back. */
export const noteColumns = [
  'page',
  'verdict',
  'note',
  'xMm',
  'yMm',
  'grid',
  'name',
  'closed',
  'about',
] as const;
/** One of them. */
export type NoteColumn = (typeof noteColumns)[number];

/** The words of a verdict: the page may go to print as it is, or is to be changed. */
export const verdicts = ['accepted', 'change'] as const;
/** One of them. */
export type Verdict = (typeof verdicts)[number];

/** What each column is for. Without commas and semicolons: a spreadsheet would deal them out over its cells. */
const columnWords: readonly string[] = [
  'page: as the page list names it. A row may be copied for a further note on the same page.',
  `verdict: ${verdicts.join(' or ')}. Leave it empty for a page that you have not judged.`,
  'note: what is to be done. Line breaks are fine.',
  'xMm and yMm: where in millimetres from the upper left corner of the trim. Or grid: such as C4 from the edge of the proof.',
  'name: your own name for a note that is to keep it. Without one it is called by round and page: r2-7 or r2-7-mara.',
  'closed: names of notes that are settled with a space between. Or yes for the note of this row.',
];

/** What stands at the head of both forms. */
const headWords: readonly string[] = [
  'Notes on this round. Several editors: save it as notes-mara.csv (or .yaml) and so on in the same folder.',
  ...columnWords,
];

/** A byte order mark: without one many spreadsheets take a file for their country's old letters. */
const byteOrderMark = '\uFEFF';

/**
 * The form as CSV (RFC 4180; UTF-8 with a byte order mark, comma as separator): words of explanation that begin with `#`, the names of the
 * columns, and a row a page in the order given.
 */
export function notesCsv(pages: readonly FormPage[]): string {
  const head = headWords.map((words) => cell(`# ${words}`));
  const rows = pages.map((page) => {
    const cells = { page: shieldedPage(page.page), about: aboutPage(page) };
    return noteColumns.map((column) => cell(column === 'page' || column === 'about' ? cells[column] : ''));
  });
  const lines = [...head, noteColumns.join(','), ...rows.map((row) => row.join(','))];
  return `${byteOrderMark}${lines.join('\r\n')}\r\n`;
}

/** The form as YAML: the same words as comments, an entry a page, and a list of names that are closed. */
export function notesYaml(pages: readonly FormPage[]): string {
  const head = headWords.map((words) => `# ${words}`);
  const entries = pages.flatMap((page) => [
    `  - page: ${JSON.stringify(page.page)} # ${aboutPage(page)}`,
    '    verdict:',
    '    note:',
    '    grid:',
  ]);
  const list = entries.length === 0 ? ['notes: []'] : ['notes:', ...entries];
  return [
    ...head,
    '',
    ...list,
    '',
    '# Names of notes that are settled, of this round or of one before.',
    'closed: []',
    '',
  ].join('\n');
}

/** `changed, ready`; what is equal to the round before needs no second look. */
function aboutPage({ state, change }: FormPage): string {
  return `${change} - ${state}`;
}

/** Spreadsheets make a date of 6-7 as soon as they open a file: the word before it keeps it. */
function shieldedPage(page: string): string {
  return /^[\d-]+$/.test(page) && page.includes('-') ? `p${page}` : page;
}

/** A cell in quotes where it has to be (RFC 4180, section 2, rules 6 and 7). */
function cell(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
