import { describe, expect, test } from 'vitest';
import { JobInvalidError } from '../../../config/job-file/job-problem.js';
import { parseJob } from '../../../config/load-job.js';
import { jobText } from '../job-text.js';

const job = (more: string, pages?: string) =>
  parseJob(jobText(pages === undefined ? { more } : { more, pages }), '/job');

/** What is wrong, each with its line. */
function problemsOf(more: string, pages?: string): string[] {
  try {
    job(more, pages);
  } catch (thrown) {
    if (thrown instanceof JobInvalidError)
      return thrown.problems.map(({ line, message }) => `${line}: ${message}`);
    throw thrown;
  }
  return [];
}

const varnish = 'extraInks: [{id: varnish, shownAs: [0, 0, 0, 10]}]';

describe('extra inks of job.yaml', () => {
  test('have their id for a name and a word, 8 bits, overprint, and count, unless they say otherwise', () => {
    const { extraInks, partWords } = job(varnish);
    expect(extraInks).toEqual([
      { id: 'varnish', name: 'varnish', shownAs: [0, 0, 0, 10], bits: 8, overprints: true, inTotal: true },
    ]);
    expect(partWords['varnish ink']).toEqual(['varnish']);
    const own =
      'extraInks: [{id: gold, words: [Gold, pms], name: Gold 871, shownAs: [0, 20, 70, 20], bits: 1, overprints: false, inTotal: false}]';
    const [gold] = job(own).extraInks;
    expect(gold).toEqual({
      id: 'gold',
      name: 'Gold 871',
      shownAs: [0, 20, 70, 20],
      bits: 1,
      overprints: false,
      inTotal: false,
    });
    expect(job(own).partWords['gold ink']).toEqual(['gold', 'pms']);
    expect(job('').extraInks).toEqual([]);
  });

  test('may be needed by a page, and named for a file', () => {
    const found = job(
      `${varnish}\nnames: {"a.tif": {page: 1, part: varnish}}`,
      '[{page: 1, needs: [colour, varnish]}]',
    );
    expect(found.pages[0].needs).toEqual(['colour', 'varnish ink']);
    expect(found.assignments.get('a.tif')).toMatchObject({ page: '1', part: 'varnish ink' });
  });

  test.each([
    ['a process ink as id', 'extraInks: [{id: cyan, shownAs: [1, 0, 0, 0]}]', '"cyan" is taken'],
    ['a part as id', 'extraInks: [{id: line, shownAs: [1, 0, 0, 0]}]', '"line" is taken'],
    [
      'a process ink as name',
      'extraInks: [{id: deep, name: BLACK, shownAs: [1, 0, 0, 0]}]',
      '"BLACK" is taken',
    ],
    [
      'the name of every plate',
      'extraInks: [{id: deep, name: All, shownAs: [1, 0, 0, 0]}]',
      '"All" is taken',
    ],
    [
      'a word of a part',
      'extraInks: [{id: deep, words: [inks], shownAs: [1, 0, 0, 0]}]',
      '"inks" already means line',
    ],
    ['other bits', 'extraInks: [{id: deep, bits: 4, shownAs: [1, 0, 0, 0]}]', 'bits are neither 1 nor 8'],
    ['no tint', 'extraInks: [{id: deep}]', 'extraInks[0].shownAs is missing'],
    [
      'too much ink',
      'extraInks: [{id: deep, shownAs: [0, 0, 0, 120]}]',
      'extraInks[0].shownAs[3] cannot be "120"',
    ],
    [
      'an id with blanks',
      'extraInks: [{id: deep red, shownAs: [0, 0, 0, 1]}]',
      'extraInks[0].id cannot be "deep red"',
    ],
  ])('%s is refused, with its line', (_, more, message) => {
    const line =
      jobText({ more })
        .split('\n')
        .findIndex((each) => each.startsWith('extraInks')) + 1;
    expect(problemsOf(more).filter((each) => each === `${line}: ${message}`)).toHaveLength(1);
  });

  test('two of one id or one name are refused, and a part that none of them is', () => {
    const two =
      'extraInks: [{id: gold, shownAs: [0, 0, 0, 1]}, {id: dust, name: Gold, shownAs: [0, 0, 0, 1]}]';
    expect(problemsOf(two).join()).toContain('"Gold" is taken');
    const needs = problemsOf(varnish, '[{page: 1, needs: [colour, varnsh]}]');
    expect(needs.join()).toContain('pages[0].needs[1] cannot be "varnsh" (did you mean "varnish"?)');
  });
});
