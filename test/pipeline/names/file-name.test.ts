import { describe, expect, test } from 'vitest';
import { readName } from '../../../pipeline/names/file-name.js';
import { nameWords } from '../../../pipeline/names/name-words.js';
import { reconcile } from '../../../pipeline/reconcile.js';
import { testFiles, testJob, testPage } from '../../helpers/reconcile-job.js';
import { nameGroups } from './name-cases.js';

/** What becomes of one file alone: `page part version`, or `? ` and the rule, or `> ` and the rule that passes it over. */
function outcome(name: string, job = testJob): string {
  const found = reconcile(job, testFiles(name));
  const [file] = found.pages.flatMap((page) => page.files);
  if (file !== undefined) return `${file.page} ${file.part} ${file.version ?? '-'}`;
  const [passed] = found.passedOver;
  return passed === undefined ? `? ${found.unknown[0]?.rule}` : `> ${passed.rule}`;
}

describe('names of working pages', () => {
  for (const { says, cases } of nameGroups) {
    test.each(cases)(`${says}: %s`, (name, expected) => {
      const found = outcome(name);
      if (/^[?>]/.test(expected)) expect(found).toContain(expected.slice(2));
      else expect(found).toBe(expected);
      expect(found[0]).toBe(expected[0]);
    });
  }

  test('the table holds at least four hundred names, no two alike', () => {
    const names = nameGroups.flatMap((group) => group.cases.map(([name]) => name));
    expect(names.length).toBeGreaterThanOrEqual(400);
    expect(new Set(names).size).toBe(names.length);
  });
});

describe('what a job changes in how names are read', () => {
  const withPages = (...pages: readonly ReturnType<typeof testPage>[]) => ({ ...testJob, pages });

  test('pages 12 and 13 of their own are not a spread', () => {
    const job = withPages(testPage('12', [12]), testPage('13', [13]));
    expect(outcome('12-13.tif', job)).toContain('? fits pages 12 and 13');
    expect(outcome('p12.tif', job)).toBe('12 whole -');
    expect(outcome('12 13.tif', job)).toContain('? has several numbers');
  });

  test('an inserted page 7a is known where the list has it, and page 7 stays page 7', () => {
    const job = withPages(testPage('7', [7]), testPage('7a', []));
    expect(outcome('p7a.tif', job)).toBe('7a whole -');
    expect(outcome('SHN04_07A_inks.tif', job)).toBe('7a line -');
    expect(outcome('p7.tif', job)).toBe('7 whole -');
  });

  test('a page list with leading zeros is matched by names without them', () => {
    expect(outcome('p7.tif', withPages(testPage('007', [7])))).toBe('007 whole -');
  });

  test('two pages that share another name cannot be told apart by it', () => {
    const job = withPages(testPage('3', [3], { aliases: ['map'] }), testPage('9', [9], { aliases: ['map'] }));
    expect(outcome('map.tif', job)).toContain('? fits pages 3 and 9');
    expect(outcome('p3.tif', job)).toBe('3 whole -');
  });

  test('another name and a number agree or the file stays out', () => {
    const job = withPages(testPage('3', [3], { aliases: ['harbour map'] }), testPage('9', [9]));
    expect(outcome('p3 harbour-map.tif', job)).toBe('3 whole -');
    expect(outcome('p9 harbour-map.tif', job)).toContain('? "harbour-map" tells page 3');
  });

  test('an issue code of letters alone swallows no number', () => {
    const job = { ...testJob, issue: 'NIGHT', number: undefined };
    expect(outcome('NIGHT07.tif', job)).toBe('7 whole -');
    expect(outcome('night_12-13.tif', job)).toBe('12-13 whole -');
  });

  test('an issue code that looks like a page or a version is not read at all', () => {
    expect(outcome('p04.tif', { ...testJob, issue: 'P04' })).toBe('4 whole -');
    expect(outcome('p07_v3.tif', { ...testJob, issue: 'V2' })).toBe('7 whole 3');
    expect(outcome('04.tif', { ...testJob, issue: '04' })).toBe('4 whole -');
  });

  test('without an issue number, "#3" says nothing about the issue and is no page either', () => {
    const job = { ...testJob, number: undefined };
    expect(outcome('#3 p07.tif', job)).toBe('7 whole -');
    expect(outcome('#3.tif', job)).toContain('? its name tells no page');
  });

  test('part words come from the job, and a word of two parts settles nothing', () => {
    const partWords = { ...testJob.partWords, line: ['tusche'], colour: ['farbe', 'tusche'] };
    const job = { ...testJob, partWords };
    expect(outcome('p07_farbe.tif', job)).toBe('7 colour -');
    expect(outcome('p07_tusche.tif', job)).toContain('? has words of several parts');
    expect(outcome('p07_inks.tif', job)).toContain('? nobody has explained "inks"');
  });
});

describe('what one name claims', () => {
  const claims = (name: string) => readName(name, nameWords(testJob));

  test('words that nothing claims are left over, words of hope are not', () => {
    expect(claims('SHN04 p07 harbour FINAL inks v2').leftOver).toEqual(['harbour']);
  });

  const rules: readonly (readonly [string, string])[] = [
    ['SHN04_Pg07_INKS_V2.tif', 'page number after "Pg"; line from "INKS"; version from "V2"'],
    ['SHN04_07.tif', 'page number after the issue code; no part named, so the whole page'],
    ['pp12-13 colours.tif', 'page numbers after "pp"; colour from "colours"'],
    ['12-13.tif', 'the only page numbers in the name; no part named, so the whole page'],
    [
      'inks/v2/07.tif',
      'the only page number in the name; line from the folder "inks"; version from the folder "v2"',
    ],
    ['p07/Flats.png', 'the page that its folder names; flats from "Flats"'],
    ['Front Cover.ora', 'the page name "Front Cover"; no part named, so the whole page'],
  ];
  test.each(rules)('the rule of %s gives the words as they stand in it', (name, rule) => {
    const [file] = reconcile(testJob, testFiles(name)).pages.flatMap((page) => page.files);
    expect(file?.rule).toBe(rule);
  });
});
