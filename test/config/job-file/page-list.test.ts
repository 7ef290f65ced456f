import { describe, expect, it } from 'vitest';
import { expandPages, findPage } from '../../../config/job-file/page-list.js';
import type { PageEntry } from '../../../config/job-file/page-schema.js';

function listOf(...entries: PageEntry[]) {
  return expandPages(entries.map((entry, index) => ({ entry, at: ['pages', index] })));
}
const idsOf = (...entries: PageEntry[]) => listOf(...entries).pages.map((page) => page.id);
const saidOf = (...entries: PageEntry[]) => listOf(...entries).problems.map((problem) => problem.message);

describe('the page list', () => {
  it('expands in the order written: pages, ranges, spreads, covers', () => {
    expect(
      idsOf({ page: 'cover' }, { pages: '1-3' }, { spread: '4-5' }, { page: '6' }, { page: 'back-cover' }),
    ).toEqual(['cover', '1', '2', '3', '4-5', '6', 'back-cover']);
  });

  it('knows the numbers that a page covers: none, one or two', () => {
    const { pages } = listOf({ page: 'cover' }, { page: '3' }, { spread: '4-5' });
    expect(pages.map((page) => page.numbers)).toEqual([[], [3], [4, 5]]);
    expect(pages.map((page) => page.isSpread)).toEqual([false, false, true]);
  });

  it('keeps leading zeros in ids and takes 1e3 for a name', () => {
    expect(idsOf({ page: '001' }, { pages: '002-003' }, { page: '1e3' })).toEqual([
      '001',
      '002',
      '003',
      '1e3',
    ]);
    expect(listOf({ page: '1e3' }).pages[0].numbers).toEqual([]);
  });

  it('takes longer dashes and spaces in a range', () => {
    expect(idsOf({ pages: '1 \u2013 2' }, { spread: '4\u20145' })).toEqual(['1', '2', '4-5']);
  });

  it('makes the four covers covers and everything else interior, unless the job says otherwise', () => {
    const { pages } = listOf(
      { page: 'cover' },
      { page: 'Inside-Front-Cover' },
      { page: 'inside-back-cover' },
      { page: 'back-cover', kind: 'poster' },
      { page: 'pinup' },
    );
    expect(pages.map((page) => page.kind)).toEqual(['cover', 'cover', 'cover', 'poster', 'interior']);
  });

  it('takes pages: 7 for page 7', () => {
    const { pages, problems } = listOf({ pages: '7' });
    expect(pages.map(({ id }) => id)).toEqual(['7']);
    expect(problems).toEqual([]);
  });

  it('gives a cover in another language its other names too', () => {
    const { pages } = listOf({ page: 'titelbild' });
    expect(pages[0].aliases).toEqual(expect.arrayContaining(['cover', 'front cover']));
  });

  it('gives covers their usual names, as far as no other page has them', () => {
    const { pages } = listOf(
      { page: 'cover', aliases: ['face'] },
      { page: 'back-cover' },
      { page: 'pinup', aliases: ['BC'] },
    );
    expect(pages[0].aliases.slice(0, 5)).toEqual(['face', 'front', 'front cover', 'fc', 'cvr']);
    expect(pages[0].aliases).toEqual(expect.arrayContaining(['titelbild', 'couverture', '表紙']));
    expect(pages[1].aliases).toEqual(expect.arrayContaining(['back', 'back cover', 'u4', 'contraportada']));
    expect(pages[1].aliases).not.toContain('bc');
  });

  it.each([
    ['nothing named', {}, 'this entry names no page'],
    ['two ways at once', { page: '1', pages: '2-3' }, 'this entry names pages in two ways'],
    ['page 0', { page: '0' }, 'page 0 is not possible'],
    ['page 10000', { page: '10000' }, 'page 10000 is not possible'],
    ['a range as page', { page: '1-5' }, 'page "1-5" is two numbers'],
    ['a name with a space', { page: 'back cover' }, 'page "back cover" cannot be a name'],
    ['a name with a slash', { page: '../x' }, 'page "../x" cannot be a name'],
    ['a backward range', { pages: '5-1' }, 'pages 5-1 run backwards'],
    ['an endless range', { pages: '1-9999' }, 'pages 1-9999 are too many'],
    ['a spread over three pages', { spread: '4-6' }, 'spread 4-6 is not two facing pages'],
    ['a spread backwards', { spread: '5-4' }, 'spread 5-4 is not two facing pages'],
    ['a spread of names', { spread: 'a-b' }, 'spread "a-b" is not two pages'],
    ['aliases for many', { pages: '1-3', aliases: ['x'] }, 'aliases cannot name several pages'],
    ['an alias like a number', { page: 'x', aliases: ['12'] }, '"12" looks like a page number'],
  ])('refuses %s', (_, entry: PageEntry, message) => {
    expect(saidOf(entry)).toEqual([message]);
  });

  it.each([
    ['a page twice', [{ page: '3' }, { page: '003' }], 'page 3 stands in the list a second time'],
    [
      'a name twice, in another case',
      [{ page: 'cover' }, { page: 'Cover' }],
      'page cover stands in the list a second time',
    ],
    [
      'overlapping ranges, once',
      [{ pages: '1-4' }, { pages: '3-6' }],
      'pages 3, 4 stand in the list a second time',
    ],
    [
      'a spread in a range',
      [{ pages: '1-8' }, { spread: '6-7' }],
      'pages 6, 7 stand in the list a second time',
    ],
    [
      'an alias of two pages',
      [
        { page: 'a', aliases: ['x'] },
        { page: 'b', aliases: ['X'] },
      ],
      '"X" already means page a',
    ],
    ['an alias that is a page', [{ page: 'a' }, { page: 'b', aliases: ['a'] }], '"a" already means page a'],
  ])('refuses %s', (_, entries: PageEntry[], message) => {
    expect(saidOf(...entries)).toEqual([message]);
  });

  it('stops at two thousand pages', () => {
    const { problems, isWhole } = listOf({ pages: '1-1500' }, { pages: '1501-3000' }, { pages: '3001-4000' });
    expect(problems.map((problem) => problem.message)).toEqual(['the list grows beyond 2000 pages']);
    expect(isWhole).toBe(false);
  });
});

describe('a reference to a page', () => {
  const { pages } = listOf({ page: 'cover' }, { page: '007' }, { page: '17' }, { spread: '18-19' });
  it.each([
    ['7', '007'],
    ['007', '007'],
    ['17', '17'],
    ['18-19', '18-19'],
    ['018-019', '18-19'],
    ['COVER', 'cover'],
    ['fc', 'cover'],
    ['18', undefined],
    ['1', undefined],
  ])('%s means %s', (reference, id) => {
    expect(findPage(pages, reference)?.id).toBe(id);
  });
});
