import { describe, expect, test } from 'vitest';
import { match, matchOf, seven, testJob, used } from '../../helpers/reconcile-job.js';

describe('versions', () => {
  test('the newest explicit version wins and names those that it replaces', () => {
    const found = match(testJob, 'p07_v2.tif', 'p07_v10.tif', 'p07_v9.tif');
    expect(used(matchOf(found, '7'))).toEqual(['p07_v10.tif as whole']);
    expect(found.superseded).toEqual([
      {
        name: 'p07_v2.tif',
        page: '7',
        part: 'whole',
        by: 'p07_v10.tif',
        rule: 'version 10 is newer than version 2',
      },
      {
        name: 'p07_v9.tif',
        page: '7',
        part: 'whole',
        by: 'p07_v10.tif',
        rule: 'version 10 is newer than version 9',
      },
    ]);
  });

  test('any explicit version is newer than none, even version 0', () => {
    const found = match(testJob, 'p07.tif', 'p07_v0.tif');
    expect(used(matchOf(found, '7'))).toEqual(['p07_v0.tif as whole']);
    expect(found.superseded[0].rule).toBe('version 0 is newer than a name without a version');
  });

  test('each part counts its own versions', () => {
    const page = seven(testJob, 'p07_colour_v3.tif', 'p07_colour_v2.tif', 'p07_inks_v1.tif');
    expect(used(page)).toEqual(['p07_colour_v3.tif as colour', 'p07_inks_v1.tif as line']);
  });

  test('spellings of one version are one version', () => {
    const found = match(testJob, 'p07_v2.tif', 'p07 rev 02.tif');
    expect(found.contested).toHaveLength(1);
    expect(found.contested[0].rule).toContain('version 2');
  });

  test('an older version is replaced even where the newest is contested', () => {
    const found = match(testJob, 'p07_v1.tif', 'p07_v2.tif', 'p07_v2 copy.tif');
    expect(found.contested[0].names).toEqual(['p07_v2 copy.tif', 'p07_v2.tif']);
    expect(found.superseded.map((file) => file.name)).toEqual(['p07_v1.tif']);
    expect(matchOf(found, '7').files).toEqual([]);
  });
});

describe('two files that claim the same page, part and version are both reported and neither is used', () => {
  const pairs: readonly (readonly [string, string, string])[] = [
    ['07.png', '07 final.png', ''],
    ['p07.tif', 'p07 copy.tif', ''],
    ['p07.tif', 'p07 (1).tif', ''],
    ['p07.tif', 'p7.tif', ''],
    ['p07.tif', 'p07.png', 'one name in several formats'],
    ['P07.tif', 'p07.tif', 'differ only in upper and lower case'],
    ['couverture-arri\u00e8re.tif', 'couverture-arrie\u0300re.tif', 'how accents are stored'],
    ['cover.tif', 'front cover.tif', ''],
    ['12-13.tif', 'p12p13.tif', ''],
    ['a/p07.tif', 'b/p07.tif', ''],
    ['p07_inks.tif', 'inks/p07.tif', ''],
  ];
  test.each(pairs)('%s and %s', (first, second, why) => {
    const found = match(testJob, first, second);
    expect(found.contested).toHaveLength(1);
    expect([...found.contested[0].names].sort()).toEqual([first, second].sort());
    expect(found.contested[0].rule).toContain(`2 files claim page ${found.contested[0].page}`);
    expect(found.contested[0].rule).toContain(why);
    expect(matchOf(found, found.contested[0].page)).toMatchObject({ state: 'contested', files: [] });
  });

  test('a whole page and a colour file both bring the colour', () => {
    const found = match(testJob, 'p07.tif', 'p07_colour.tif', 'p07_inks.tif');
    expect(found.contested[0]).toMatchObject({ part: 'colour', names: ['p07_colour.tif', 'p07.tif'] });
    expect(matchOf(found, '7')).toMatchObject({ state: 'contested', missing: [] });
    expect(used(matchOf(found, '7'))).toEqual(['p07_inks.tif as line']);
  });

  test('other pages go on', () => {
    const found = match(testJob, 'p07.tif', 'p07.png', 'p08.tif');
    expect(matchOf(found, '8').state).toBe('ready');
  });
});
