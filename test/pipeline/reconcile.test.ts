import { describe, expect, test } from 'vitest';
import type { NameAssignment } from '../../config/job.js';
import type { IncomingFile } from '../../pipeline/model/reconciliation.js';
import { reconcile } from '../../pipeline/reconcile.js';
import {
  asPage,
  jobWith,
  match,
  matchOf,
  seven,
  testFiles,
  testJob,
  testPages,
  used,
} from '../helpers/reconcile-job.js';

const assigning = (entries: Record<string, NameAssignment>) =>
  jobWith({ assignments: new Map(Object.entries(entries)) });

describe('what job.yaml says about names wins over what names say', () => {
  test('a file goes to the page and part that it is given', () => {
    const found = match(assigning({ 'weird.tif': asPage('7', 'colour') }), 'weird.tif');
    expect(matchOf(found, '7').files[0]).toMatchObject({ part: 'colour', rule: 'explicit name in job.yaml' });
  });

  test('even where its name tells another page, another issue, or an extension that is not known', () => {
    for (const name of ['p08.tif', 'SHN03_p08.tif', 'page seven']) {
      expect(used(matchOf(match(assigning({ [name]: asPage('7') }), name), '7'))).toEqual([
        `${name} as whole`,
      ]);
    }
  });

  test('an assigned file wins over files that only claim by name, also over newer ones', () => {
    const found = match(assigning({ 'weird.tif': asPage('7') }), 'weird.tif', 'p07_v3.tif', 'p07_colour.tif');
    expect(used(matchOf(found, '7'))).toEqual(['weird.tif as whole']);
    expect(found.superseded.map((file) => [file.name, file.by, file.rule])).toEqual([
      ['p07_colour.tif', 'weird.tif', 'job.yaml names "weird.tif" for this'],
      ['p07_v3.tif', 'weird.tif', 'job.yaml names "weird.tif" for this'],
    ]);
  });

  test('an assigned colour file replaces a whole page, so the line is still missing', () => {
    const page = seven(assigning({ 'weird.tif': asPage('7', 'colour') }), 'weird.tif', 'p07.tif');
    expect(page).toMatchObject({ state: 'waiting', missing: ['line'] });
  });

  test('of two assigned files the newer version counts, and without versions neither', () => {
    const job = assigning({ 'a_v1.tif': asPage('7'), 'a_v2.tif': asPage('7') });
    expect(used(seven(job, 'a_v1.tif', 'a_v2.tif'))).toEqual(['a_v2.tif as whole']);
    const tied = match(assigning({ 'a.tif': asPage('7'), 'b.tif': asPage('7') }), 'a.tif', 'b.tif');
    expect(tied.contested[0].remedy).toContain('names: { "b.tif": ignore }');
  });

  test('one picture of a file that holds several is passed on', () => {
    const job = assigning({ 'all.tif': { kind: 'page', page: '7', part: 'whole', picture: 3 } });
    expect(seven(job, 'all.tif').files[0]).toMatchObject({
      picture: 3,
      rule: 'explicit name in job.yaml, picture 3',
    });
  });

  test('names are compared composed: job.yaml in NFC, the disk in NFD', () => {
    const job = assigning({ 'd\u00e9j\u00e0.tif': asPage('7') });
    const found = match(job, 'de\u0301ja\u0300.tif');
    expect(matchOf(found, '7').files[0].name).toBe('de\u0301ja\u0300.tif');
    expect(found.unusedAssignments).toEqual([]);
  });

  test('a bare name reaches into folders as long as one file has it', () => {
    const job = assigning({ 'weird.tif': asPage('7') });
    expect(used(seven(job, 'scene 2/weird.tif'))).toEqual(['scene 2/weird.tif as whole']);
    const two = match(job, 'a/weird.tif', 'b/weird.tif');
    expect(two.unknown.map((file) => file.name)).toEqual(['a/weird.tif', 'b/weird.tif']);
    expect(two.unknown[0].rule).toContain('2 files in different folders');
    expect(two.unknown[0].remedy).toContain('names: { "a/weird.tif": { page: 7, part: whole } }');
    const exact = match(job, 'weird.tif', 'b/weird.tif');
    expect(used(matchOf(exact, '7'))).toEqual(['weird.tif as whole']);
    expect(exact.unknown).toMatchObject([{ name: 'b/weird.tif', rule: 'its name tells no page' }]);
  });

  test('ignored files are passed over, whatever they are', () => {
    const job = assigning({ 'p07.tif': { kind: 'ignore' }, 'notes.txt': { kind: 'ignore' } });
    const found = match(job, 'p07.tif', 'notes.txt');
    expect(found.passedOver.map((file) => file.name)).toEqual(['notes.txt', 'p07.tif']);
    expect(matchOf(found, '7').state).toBe('missing');
  });

  test('assignments of files that are not there are listed', () => {
    const job = assigning({ 'gone.tif': asPage('7'), 'also/gone.tif': asPage('8'), 'here.tif': asPage('9') });
    expect(match(job, 'here.tif').unusedAssignments).toEqual(['also/gone.tif', 'gone.tif']);
  });

  test('an assignment to a page that the list does not have is reported', () => {
    const found = match(assigning({ 'weird.tif': asPage('99') }), 'weird.tif');
    expect(found.unknown[0].rule).toBe('job.yaml puts it on page 99, which is not on the page list');
  });
});

describe('files that are left out', () => {
  test('an empty file is reported and not used, also where job.yaml names it', () => {
    const empty: IncomingFile[] = [
      { name: 'p07.tif', bytes: 0, mtimeMs: 0 },
      { name: 'weird.tif', bytes: 0, mtimeMs: 0 },
    ];
    const found = reconcile(assigning({ 'weird.tif': asPage('8') }), empty);
    expect(found.unknown.map((file) => file.rule)).toEqual(['the file is empty', 'the file is empty']);
    expect(found.unknown[0].remedy).not.toBe('');
  });
});

describe('with any names at all', () => {
  const random = seeded(20261125);
  const names = randomNames(2000, random);
  const files = testFiles(...names);
  const found = reconcile(testJob, files);

  test('nothing throws, and every file ends up in exactly one place', () => {
    const places = [
      ...found.pages.flatMap((page) => page.files.map((file) => file.name)),
      ...found.contested.flatMap((claim) => claim.names),
      ...found.superseded.map((file) => file.name),
      ...found.unknown.map((file) => file.name),
      ...found.passedOver.map((file) => file.name),
    ];
    expect(places.sort()).toEqual([...names].sort());
    expect(found.contested.length).toBeGreaterThan(5);
    expect(found.superseded.length).toBeGreaterThan(5);
    expect(found.unknown.length).toBeGreaterThan(100);
  });

  test('the order in which the folder lists them changes nothing', () => {
    for (let round = 0; round < 3; round += 1) {
      const shuffled = [...files].map((file) => ({ file, at: random() })).sort((a, b) => a.at - b.at);
      expect(
        reconcile(
          testJob,
          shuffled.map(({ file }) => file),
        ),
      ).toEqual(found);
    }
  });

  test('every outcome says why, and everything left out says what to do', () => {
    const rules = [...found.pages, ...found.pages.flatMap((page) => page.files), ...found.superseded];
    for (const { rule } of rules) expect(rule).not.toBe('');
    for (const { rule, remedy } of [...found.unknown, ...found.contested]) {
      expect(rule).not.toBe('');
      expect(remedy).not.toBe('');
    }
  });

  test('ten thousand names against a hundred pages take well under a second', () => {
    const job = jobWith({ pages: testPages(1, 100) });
    const many = testFiles(
      ...Array.from({ length: 10_000 }, (_, at) => `scene ${at % 7}/SHN04_p${at % 120}_colour_v${at}.tif`),
    );
    const start = performance.now();
    expect(reconcile(job, many).superseded.length).toBeGreaterThan(5000);
    // About 450 ms of CPU; the limit leaves room for a busy machine.
    expect(performance.now() - start).toBeLessThan(3000);
  });
});

/** Mulberry32: a small generator in the public domain, so that a failure can be seen again. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** Distinct names put together from pieces of real ones and from signs that break careless code. */
function randomNames(count: number, next: () => number): string[] {
  const pieces = [
    ...'SHN04 shn-04 SHN03 p pg page 7 07 12-13 12 13 cover back inks colour line flats v 2 v2 r3 final copy'.split(
      ' ',
    ),
    ...[
      '_',
      '-',
      ' ',
      '.',
      '/',
      '(1)',
      '#4',
      '&',
      '\u200f',
      '\u0301',
      '\u{1f3a8}',
      '\ud83c',
      '\u0000',
      '\\',
      '"',
      "'",
    ],
    ...[
      'CON',
      'é',
      'x'.repeat(300),
      '2026-11-25',
      '600dpi',
      '__proto__',
      'constructor',
      '$&',
      '%',
      '\n',
      '99999999999',
    ],
  ];
  const extensions = ['.tif', '.png', '.ora', '.TIFF', '.txt', '', '.', '.tif '];
  const pick = (from: readonly string[]) => from[Math.floor(next() * from.length)];
  const names = new Set<string>();
  while (names.size < count) {
    const length = 1 + Math.floor(next() * 7);
    const stem = Array.from({ length }, () => pick(pieces)).join(next() < 0.5 ? '_' : '');
    names.add(`${stem}${next() < 0.7 ? '.tif' : pick(extensions)}`);
  }
  return [...names];
}

describe('a code whose letters are a page word in some language', () => {
  const job = jobWith({ issue: 'STR01', number: undefined });

  test.each([
    ['STR01_p07_colour.tif', '7'],
    ['STR01_07_colour.tif', '7'],
    ['str-01 pg 7 inks v2.tif', '7'],
    ['STR01 cover.png', 'cover'],
    ['str 7 final.png', '7'],
  ])('is the code where the name tells a page besides: %s', (name, page) => {
    const found = match(job, name);
    expect(found.unknown).toEqual([]);
    expect(matchOf(found, page).files.map((file) => file.name)).toEqual([name]);
  });
});
