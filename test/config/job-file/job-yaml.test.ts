import { expect, it } from 'vitest';
import { readJobYaml } from '../../../config/job-file/job-yaml.js';

/** What is wrong with a text, as line:column and message. */
function complaints(text: string): string[] {
  return readJobYaml(text).problems.map((problem) => `${problem.line}:${problem.column} ${problem.message}`);
}

// YAML 1.2.2, section 10.1: the failsafe schema knows mappings, sequences and strings, nothing else.
it('every scalar stays the text that stands in the file', () => {
  const { tree } = readJobYaml('a: 001\nb: [1e3, 0x10, true, 08, 1_000]\nc: 2026-12-04\nd: "null"');
  expect(tree).toEqual({ a: '001', b: ['1e3', '0x10', 'true', '08', '1_000'], c: '2026-12-04', d: 'null' });
});

it('an empty value is none, quoted emptiness is text', () => {
  expect(readJobYaml('a:\nb: ~\nc: ""').tree).toEqual({ a: null, b: null, c: '' });
});

it('a byte order mark is passed over and shifts no column', () => {
  const { tree, problems, locate } = readJobYaml('\uFEFFissue: X');
  expect(tree).toEqual({ issue: 'X' });
  expect(problems).toEqual([]);
  const found = { at: ['issue'], on: 'value' as const, message: '', expected: '', example: '' };
  expect(locate(found)).toMatchObject({ line: 1, column: 8 });
});

it.each([
  ['a tab as indentation', 'print:\n\tbleed: 3', '2:1 a tab is used to indent'],
  ['a second document', 'a: 1\n---\nb: 2', '2:1 a second document starts here'],
  ['two colons in one line', 'title: Bells: a tale', '1:8 two colons stand in one line'],
  ['a bracket that is not closed', 'a: {b: 1', '1:9 the indentation does not fit'],
  ['a key twice', 'a: 1\nb: 2\na: 3', '3:1 the key "a" stands here twice'],
  ['a tag', 'a: !!int 3', '1:4 tags (words with !) are not used here'],
  ['a reference', 'title: *Stars*', '1:8 *Stars* is read as a reference'],
  ['a list as key', '? [1]\n: 2', '1:3 a key cannot be a list or a mapping'],
])('%s is refused where it stands', (_, text, complaint) => {
  expect(complaints(text)).toContain(complaint);
});

it('references are never followed, so a small file cannot grow', () => {
  const bomb = 'a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: [*c, *c]';
  const { tree } = readJobYaml(bomb);
  expect(JSON.stringify(tree).length).toBeLessThan(100);
  expect(complaints(bomb).filter((said) => said.includes('reference'))).toHaveLength(6);
});

it.each([
  ['brackets', `a: ${'['.repeat(100_000)}`],
  ['braces over many lines', `a: ${'{a:\n'.repeat(50_000)}`],
  ['dashes in one line', '- '.repeat(100_000)],
  ['indented sections', Array.from({ length: 400 }, (_, depth) => `${' '.repeat(depth)}a:`).join('\n')],
])('%s without end are refused before they exhaust the stack', (_, text) => {
  expect(complaints(text)).toEqual([expect.stringContaining('nested far too deep')]);
});

it('brackets in quoted text are no nesting', () => {
  expect(complaints(`title: "${'['.repeat(100)}"`)).toEqual([]);
});

it('fifty thousand keys are read in seconds', () => {
  const text = Array.from({ length: 50_000 }, (_, index) => `k${index}: 1`).join('\n');
  const started = Date.now();
  expect(complaints(text)).toEqual([]);
  // Comparing every key with every other takes minutes.
  expect(Date.now() - started).toBeLessThan(20_000);
});

it.each([
  ['a value', ['print', 'bleed'], 'value', 3, 10],
  ['a key', ['print', 'bleed'], 'key', 3, 3],
  ['a section, at its key', ['print'], 'value', 1, 1],
  ['an empty value, at its key', ['print', 'safe'], 'value', 4, 3],
  ['an entry of a list', ['pages', 1], 'value', 7, 5],
  ['a field of an entry', ['pages', 1, 'kind'], 'value', 8, 11],
  ['what is missing in an entry, at the entry', ['pages', 1, 'scene'], 'key', 7, 5],
  ['what is missing in a section, at the section', ['print', 'trim'], 'key', 1, 1],
] as const)('the place of %s is found', (_, at, on, line, column) => {
  const text = 'print:\n  # the cut\n  bleed: 3\n  safe:\npages:\n  - page: 1\n  - page: 2\n    kind: cover';
  const { locate } = readJobYaml(text);
  expect(locate({ at, on, message: '', expected: '', example: '' })).toMatchObject({ line, column });
});
