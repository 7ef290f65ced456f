import { describe, expect, test } from 'vitest';
import { partWordsWith } from '../../../config/job-file/part-words.js';
import { jobWith, match, matchOf, testPage, used } from '../../helpers/reconcile-job.js';

const inked = jobWith({
  partWords: partWordsWith({}, [{ id: 'varnish', words: ['varnish', 'gloss'] }, { id: 'gold' }]),
  pages: [testPage('7', [7]), testPage('12-13', [12, 13]), testPage('cover', [])],
});

describe('the plate of an extra ink, by its name', () => {
  test.each(['SHN04_p07_varnish.tif', 'gloss p7.png', 'varnish/p07_v3.tif'])(
    '%s goes with page 7',
    (name) => {
      const found = match(inked, 'SHN04_p07_colour.tif', 'SHN04_p07_line.tif', name);
      expect(used(matchOf(found, '7')).at(-1)).toBe(`${name} as varnish ink`);
      expect(matchOf(found, '7').state).toBe('ready');
    },
  );

  test('is asked about where job.yaml has no such ink, as any word that nobody has explained', () => {
    const found = match(jobWith({ pages: [testPage('7', [7])] }), 'SHN04_p07.tif', 'SHN04_p07_varnish.tif');
    expect(found.unknown.map(({ name, rule }) => [name, rule.includes('varnish')])).toEqual([
      ['SHN04_p07_varnish.tif', true],
    ]);
  });

  test('by itself is no page: the page waits for its picture', () => {
    const page = matchOf(match(inked, 'SHN04_p07_gold.tif'), '7');
    expect([page.state, page.missing, page.rule]).toEqual([
      'waiting',
      ['whole'],
      'waits for the page itself; gold ink is there',
    ]);
  });

  test('is waited for only where the page needs it', () => {
    const files = ['SHN04_p07.tif'];
    expect(matchOf(match(inked, ...files), '7').state).toBe('ready');
    const needing = { ...inked, pages: [testPage('7', [7], { needs: ['colour', 'gold ink'] })] };
    expect(matchOf(match(needing, ...files), '7')).toMatchObject({ state: 'waiting', missing: ['gold ink'] });
    expect(matchOf(match(needing, ...files, 'SHN04_p07_gold.tif'), '7').rule).toBe(
      'the whole page is there, with gold ink',
    );
  });

  test('comes in versions and competes with files of its own ink only; two are told with the line that settles it', () => {
    const newest = match(inked, '7.tif', 'p7_gold_v1.tif', 'p7_gold_v2.tif', 'p7_gloss.tif');
    expect(used(matchOf(newest, '7'))).toEqual([
      '7.tif as whole',
      'p7_gold_v2.tif as gold ink',
      'p7_gloss.tif as varnish ink',
    ]);
    expect(newest.superseded.map(({ name }) => name)).toEqual(['p7_gold_v1.tif']);
    const [contested] = match(inked, '7.tif', 'p7_gold.tif', 'p7_gold.png').contested;
    expect(contested.remedy).toContain('part: gold }');
  });

  test('of a cover goes with it', () => {
    expect(used(matchOf(match(inked, 'cover.ora', 'cover_varnish.tif'), 'cover'))).toEqual([
      'cover.ora as whole',
      'cover_varnish.tif as varnish ink',
    ]);
  });
});
