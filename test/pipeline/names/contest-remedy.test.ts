import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import type { NameAssignment } from '../../../config/job.js';
import { ignoreLine, pageLine } from '../../../pipeline/names/job-lines.js';
import { reconcile } from '../../../pipeline/reconcile.js';
import { asPage, jobWith, match, testFiles, testJob } from '../../helpers/reconcile-job.js';
import { nameGroups } from './name-cases.js';

/** The lines are read back by a YAML parser from npm, which is also what reads job.yaml. */
describe('lines for job.yaml', () => {
  test.each([
    '7',
    '12-13',
    'cover',
    'back-cover',
    '007',
    'true',
    'null',
    'no',
    '1e3',
    '0x10',
    'couverture-arrière',
  ])('page id %s comes back as it was', (id) => {
    const { names } = parse(pageLine('a.tif', id, 'line'));
    expect(names).toEqual({ 'a.tif': { page: /^[1-9]\d*$/.test(id) ? Number(id) : id, part: 'line' } });
  });

  test.each([
    'a "b" \\ c.tif',
    "it's: {x}.tif",
    '# 7.tif',
    '\u200fp.tif',
    'tab\there.tif',
    'd\u00e9j\u00e0.tif',
  ])('file name %j comes back as it was', (name) => {
    expect(parse(ignoreLine(name))).toEqual({ names: { [name]: 'ignore' } });
  });

  test('file names are written composed, as job.yaml is compared', () => {
    expect(ignoreLine('de\u0301ja\u0300.tif')).toBe('names: { "d\u00e9j\u00e0.tif": ignore }');
  });

  test('every name of the table that stays out gets a line for job.yaml which then settles it', () => {
    const names = nameGroups.flatMap((group) => group.cases.map(([name]) => name));
    for (const name of names) settleByRemedy([name]);
  });

  test('every contest gets a line for job.yaml which then settles it', () => {
    settleByRemedy(['p07.tif', 'p07 copy.tif', 'p07.png']);
    settleByRemedy(['p07.tif', 'p07_colour.tif']);
    settleByRemedy(['a/12-13.tif', 'b/12-13 "x".tif']);
  });
});

/** Follows the advice literally: fills its blanks in with each candidate, parses the line with a YAML parser, reconciles again. */
function settleByRemedy(names: readonly string[]): void {
  const first = match(testJob, ...names);
  for (const { remedy } of [...first.unknown, ...first.contested, ...first.passedOver]) {
    for (const line of filledIn(remedy)) {
      const said = parse(line).names as Record<string, unknown>;
      const assignments = new Map<string, NameAssignment>();
      for (const [name, value] of Object.entries(said)) assignments.set(name, read(value));
      const second = reconcile(jobWith({ assignments }), testFiles(...names));
      expect(second.unknown, remedy).toEqual([]);
      expect(second.contested, remedy).toEqual([]);
      expect(second.unusedAssignments, remedy).toEqual([]);
    }
  }
}

/** The line of an advice, once for each candidate that its comment names; a run such as `1 to 11` gives its first page. */
function filledIn(remedy: string): string[] {
  expect(remedy).toContain('names: {');
  const line = remedy.slice(remedy.indexOf('names: {'));
  const candidates = (of: string) =>
    (new RegExp(`# .*?${of}: ([^;]+)`).exec(line)?.[1] ?? '')
      .split(/, | or /)
      .map((each) => each.split(' to ')[0]);
  const pages = line.includes('page: ___') ? candidates('page') : ['-'];
  const parts = line.includes('part: ___') ? candidates('part') : ['-'];
  return pages.flatMap((page) =>
    parts.map((part) => line.replace('page: ___', `page: ${page}`).replace('part: ___', `part: ${part}`)),
  );
}

function read(value: unknown): NameAssignment {
  if (value === 'ignore') return { kind: 'ignore' };
  const { page, part } = value as { page: string | number; part: 'whole' };
  return asPage(String(page), part);
}
