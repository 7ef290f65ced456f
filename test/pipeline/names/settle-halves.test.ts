import { describe, expect, test } from 'vitest';
import type { NameAssignment } from '../../../config/job.js';
import { jobWith, match, matchOf, testJob, testPage } from '../../helpers/reconcile-job.js';

/** What files of those names make of the spread 12-13. */
const spread = (...names: readonly string[]) => matchOf(match(testJob, ...names), '12-13');

const used = (...names: readonly string[]) =>
  spread(...names).files.map(({ name, part, half }) => `${name}: ${half ?? 'whole'} ${part}`);

describe('a spread that comes in halves', () => {
  test.each([
    [['p12.tif', 'p13.tif']],
    [['p12_colour.tif', 'p12_inks.tif', 'p13_colour.tif', 'p13_inks.tif']],
    [['p12-13_inks.tif', 'p12_colour.tif', 'p13_colour.tif']],
    [['p12-13 left.tif', 'p12-13 right.tif']],
  ])('is ready once both halves of every part are there: %j', (names) => {
    expect(spread(...names)).toMatchObject({ state: 'ready', missing: [] });
    expect(spread(...names).files).toHaveLength(names.length);
  });

  test.each([
    [['p12.tif'], 'waits for page 13'],
    [['p13_colour.tif', 'p13_inks.tif'], 'waits for page 12'],
    [['p12_colour.tif', 'p12_inks.tif', 'p13_colour.tif'], 'waits for line of page 13'],
    [['p12.tif', 'p13_colour.tif', 'p13_inks.tif'], 'waits for line of page 12'],
    [['p12.tif', 'p13.tif', 'p13_letters.tif'], 'waits for lettering of page 12'],
    [['p12_colour.tif', 'p13_colour.tif'], 'waits for line of page 12 and line of page 13'],
  ])('waits, and says for which half: %j', (names, rule) => {
    const { state, rule: told } = spread(...names);
    expect([state, told]).toEqual(['waiting', `${rule}; the spread 12-13 comes in halves`]);
  });

  test('takes the newest version of each half by itself', () => {
    expect(used('p12.tif', 'p12_v2.tif', 'p13_v1.tif')).toEqual([
      'p12_v2.tif: 12 whole',
      'p13_v1.tif: 13 whole',
    ]);
  });

  test('takes a whole half for the colour beside its line', () => {
    expect(used('p12.tif', 'p12_inks.tif', 'p13_colour.tif', 'p13_inks.tif')).toEqual([
      'p12.tif: 12 colour',
      'p13_colour.tif: 13 colour',
      'p12_inks.tif: 12 line',
      'p13_inks.tif: 13 line',
    ]);
  });

  test('is contested by a file of the whole spread, however new either is', () => {
    const found = match(testJob, 'p12-13_v3.tif', 'p12.tif', 'p13_v9.tif');
    expect(matchOf(found, '12-13')).toMatchObject({ state: 'contested', files: [] });
    expect(found.contested.map(({ names }) => names)).toEqual([['p12-13_v3.tif', 'p12.tif', 'p13_v9.tif']]);
    expect(found.contested[0].remedy).toContain('names: { "p12-13_v3.tif": ignore }');
  });

  test('settles that by a word of job.yaml', () => {
    const whole: NameAssignment = { kind: 'page', page: '12-13', part: 'whole', picture: undefined };
    const job = jobWith({ assignments: new Map([['p12-13.tif', whole]]) });
    const found = match(job, 'p12-13.tif', 'p12.tif', 'p13.tif');
    expect(matchOf(found, '12-13').files.map(({ name }) => name)).toEqual(['p12-13.tif']);
    expect(found.superseded.map(({ name }) => name)).toEqual(['p12.tif', 'p13.tif']);
  });

  test('is contested where two files claim one half', () => {
    const found = match(testJob, 'p12.tif', 'p12.png', 'p13.tif');
    expect(found.contested[0]).toMatchObject({ page: '12-13', names: ['p12.png', 'p12.tif'] });
    expect(found.contested[0].rule).toContain('2 files claim page 12, the whole page');
    expect(found.contested[0].remedy).toContain('{ page: 12, part: whole }');
  });

  test('is held back as a whole', () => {
    const job = jobWith({ pages: [testPage('12-13', [12, 13], { heldReason: 'script rewrite' })] });
    expect(matchOf(match(job, 'p12.tif'), '12-13').rule).toBe('held back: script rewrite');
  });
});
