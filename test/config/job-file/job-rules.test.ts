import { expect, it } from 'vitest';
import { foundIn, jobText, problemsOf } from '../job-text.js';

it.each([
  [
    'a page names a scene that is not there',
    { more: 'scenes: [{id: harbour}]', pages: '[{page: 1, scene: harbor}]' },
    'there is no scene "harbor" (did you mean "harbour"?)',
  ],
  [
    'a scene stands there twice',
    { more: 'scenes: [{id: a}, {id: A}]' },
    'scene "A" stands in the list twice',
  ],
  [
    'a page is of an unknown kind',
    { pages: '[{page: 1, kind: covr}]' },
    'there is no kind "covr" (did you mean "cover"?)',
  ],
  ['no page is of a kind', { more: 'kinds: {poster: {inkLimit: 300}}' }, 'no page is of the kind "poster"'],
  [
    'a held page is not in the list',
    { more: 'held: [{page: 99, reason: script}]' },
    'page "99" is not in the page list',
  ],
  [
    'half a spread is held',
    { more: 'held: [{page: 4, reason: script}]' },
    'page "4" is not in the page list (it is half of the spread 4-5)',
  ],
  [
    'a page is held twice',
    { more: 'held: [{page: 1, reason: a}, {page: 001, reason: b}]' },
    'page 001 is held twice',
  ],
  [
    'a file is an unknown page',
    { more: 'names: {"x.tif": {page: 99}}' },
    'page "99" is not in the page list',
  ],
  ['a file name has a backslash', { more: "names: {'a\\b.tif': ignore}" }, '"a\\b.tif" has a backslash'],
  [
    'a file name starts with incoming/',
    { more: 'names: {"incoming/a.tif": ignore}' },
    '"incoming/a.tif" starts with incoming/, which goes without saying',
  ],
  [
    'a file lies outside incoming/',
    { more: 'names: {"../a.tif": ignore}' },
    '"../a.tif" does not lead to a file in incoming/',
  ],
  ['a word tells two parts', { more: 'parts: {line: [paint]}' }, '"paint" already means colour'],
  [
    'a new word tells two parts',
    { more: 'parts: {line: [wash], colour: [Wash]}' },
    '"Wash" already means line',
  ],
  [
    'a page is called like a part',
    { pages: '[{page: flats}]' },
    '"flats" means the part flats in file names',
  ],
  [
    'a page is called like a new word',
    { more: 'parts: {line: [pinup]}', pages: '[{page: pinup}]' },
    '"pinup" means the part line in file names',
  ],
])('a job is refused when %s', (_, changes, message) => {
  expect(problemsOf(jobText(changes))).toEqual([message]);
});

it('one file name with its accent stored in two ways is one file', () => {
  const text = jobText({ more: 'names:\n  "caf\u00e9.tif": ignore\n  "cafe\u0301.tif": ignore' });
  expect(problemsOf(text)).toEqual(['"cafe\u0301.tif" stands here twice, with accents stored in two ways']);
});

it('interior and cover are known kinds even where the job does not use them', () => {
  expect(problemsOf(jobText({ pages: '[{page: 1}]', more: 'kinds: {cover: {inkLimit: 300}}' }))).toEqual([]);
});

it('while the page list has mistakes, nobody is told that its pages are unknown', () => {
  const text = jobText({ pages: '[{pages: 9-1}]', more: 'held: [{page: 3, reason: script}]' });
  expect(problemsOf(text)).toEqual(['pages 9-1 run backwards']);
});

it('while the list of scenes has mistakes, nobody is told that its scenes are unknown', () => {
  const text = jobText({ pages: '[{page: 1, scene: quay}]', more: 'scenes: [{name: quay}]' });
  const paths = foundIn(text).map((problem) => problem.path);
  expect(paths.toSorted()).toEqual(['scenes[0].id', 'scenes[0].name']);
});
