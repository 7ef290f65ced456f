import { expect, test } from 'vitest';
import { notesCsv, notesYaml } from '../../../pipeline/rounds/notes-template.js';

const pages = [
  { page: 'cover', state: 'ready', change: 'new' },
  { page: '6-7', state: 'waiting', change: 'absent' },
];

test('the form for spreadsheets has its columns, a row a page, and words that stay in one cell', () => {
  const lines = notesCsv(pages).split('\r\n');
  expect(lines[0].startsWith('\uFEFF# Notes on this round')).toBe(true);
  const rows = lines.filter((line) => !/^\uFEFF?"?# /.test(line));
  expect(rows).toEqual([
    'page,verdict,note,xMm,yMm,grid,name,closed,about',
    'cover,,,,,,,,new - ready',
    'p6-7,,,,,,,,absent - waiting',
    '',
  ]);
  expect(lines.filter((line) => line.includes(';'))).toEqual([]);
});

test('the form for text editors has an entry a page, and an empty list where there is none', () => {
  expect(notesYaml(pages)).toContain('\n  - page: "6-7" # absent - waiting\n    verdict:\n    note:\n');
  expect(notesYaml([])).toContain('\nnotes: []\n');
});
