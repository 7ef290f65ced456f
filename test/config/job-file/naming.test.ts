import { describe, expect, it } from 'vitest';
import { outputBaseName } from '../../../config/job-file/naming.js';
import { parseJob } from '../../../config/load-job.js';
import { jobText, problemsOf } from '../job-text.js';

function namesOf(changes: Parameters<typeof jobText>[0]): string[] {
  const job = parseJob(jobText(changes), '/jobs/x');
  return job.pages.map((page) => outputBaseName(job, page));
}

describe('names of print files', () => {
  it('pad numbers to one width, keep spreads and covers readable', () => {
    const names = namesOf({ pages: '[{page: cover}, {page: 1}, {spread: 2-3}, {page: 10}]' });
    expect(names).toEqual(['TDL03_cover', 'TDL03_01', 'TDL03_02-03', 'TDL03_10']);
  });

  it('sort in reading order', () => {
    const names = namesOf({ pages: '[{pages: 1-7}, {spread: 8-9}, {pages: 10-120}]' });
    expect(names.toSorted()).toEqual(names);
  });

  it('take the width that the page list writes', () => {
    expect(namesOf({ pages: '[{page: 001}, {page: 2}]' })).toEqual(['TDL03_001', 'TDL03_002']);
  });

  it('fill in every token', () => {
    const names = namesOf({
      more: 'number: 3\nscenes: [{id: quay}]',
      print: 'naming: "{issue}-{number}.{scene} {kind}_{page}"',
      pages: '[{page: 7, scene: quay}]',
    });
    expect(names).toEqual(['TDL03-3.quay interior_7']);
  });
});

describe('a naming pattern is refused when', () => {
  it.each([
    [
      'it does not know a token',
      '{issue}_{pag}',
      '{pag} is not a token of naming patterns (did you mean {page}?)',
    ],
    ['a brace stands alone', '{page}_{', '{ is not a token of naming patterns'],
    ['all pages get one name', '{issue}', 'the pattern has no {page} in it, so all pages get one name'],
    ['it makes folders', 'out/{page}', '"/" cannot stand in file names everywhere'],
    ['Windows cannot hold it', '{issue}:{page}', '":" cannot stand in file names everywhere'],
    [
      'it hides files',
      '.{page}',
      'names cannot start with a space, dot or hyphen, nor end with a space or dot',
    ],
    [
      'Windows drops its end',
      '{page}.',
      'names cannot start with a space, dot or hyphen, nor end with a space or dot',
    ],
    ['the job has no number', '{number}_{page}', 'the pattern has {number} in it, but the job has no number'],
    ['a page has no scene', '{scene}_{page}', 'the pattern has {scene} in it, but page cover has no scene'],
  ])('%s', (_, naming, message) => {
    expect(problemsOf(jobText({ print: `naming: "${naming}"` }))).toEqual([message]);
  });

  it.each([
    ['two spaces', '{issue}  {page}', '"TDL03  cover" has spaces at an end, or two beside each other'],
    [
      'an accent that joins the letter before it',
      '{page}\u0301',
      'its accents are written as separate characters',
    ],
  ])('delivery would refuse the name: %s', (_, naming, why) => {
    const pages = naming.startsWith('{page}') ? '[{page: cove}]' : '[{page: cover}]';
    const page = pages.slice(8, -2);
    expect(problemsOf(jobText({ print: `naming: "${naming}"`, pages }))).toEqual([
      `page ${page} would get a name that cannot be kept everywhere: ${why}`,
    ]);
  });

  it('the disk would refuse the name, which takes more bytes than letters', () => {
    expect(
      problemsOf(jobText({ print: `naming: "${'\u3042'.repeat(85)}{page}"`, pages: '[{page: 1}]' })),
    ).toEqual(['page 1 would get a name of 256 bytes']);
    expect(
      problemsOf(jobText({ print: `naming: "${'\u3042'.repeat(39)}{page}"`, pages: '[{page: 1}]' })),
    ).toEqual([]);
  });

  it('two pages get one name', () => {
    const text = jobText({
      more: 'scenes: [{id: a-b}, {id: b}]',
      print: 'naming: "{page}-{scene}"',
      pages: '[{page: X, scene: a-b}, {page: x-a, scene: b}]',
    });
    expect(problemsOf(text)).toEqual(['pages X and x-a would both be called x-a-b']);
  });

  // RFC 8493, section 6.1.2, lists these names.
  it.each(['con', 'AUX', 'nul', 'com1', 'LPT9'])('a page would be called %s, a device of Windows', (page) => {
    const text = jobText({ print: 'naming: "{page}"', pages: `[{page: ${page}}]` });
    expect(problemsOf(text)).toEqual([
      `page ${page} would be called ${page}, which Windows keeps for itself`,
    ]);
  });
});

describe('an issue code is refused when', () => {
  it.each([
    ['Windows keeps it for a device', 'Con', '"Con" is a name that Windows reserves'],
    ['it begins with an accent alone', '\u0301a', '"\u0301a" holds characters that some systems cannot keep'],
  ])('%s, because the bundle bears it', (_, issue, why) => {
    expect(problemsOf(jobText({ issue }))).toEqual([`the issue code cannot name a bundle: ${why}`]);
  });

  it('it holds what no word holds, once', () => {
    expect(problemsOf(jobText({ issue: 'TDL 03' }))).toHaveLength(1);
  });
});
