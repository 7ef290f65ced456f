import { describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { matchNames, readNames } from '../../../pipeline/reconcile.js';
import { jobWith, match, matchOf, testFiles, testJob, testPage, used } from '../../helpers/reconcile-job.js';

/** What job.yaml admits or settles for all files at once, and what a picture settles. */
describe('settings that names are read with', () => {
  const seven = (job: Parameters<typeof match>[0], name: string) => used(matchOf(match(job, name), '7'));
  const ruleOf = (job: Parameters<typeof match>[0], name: string) => match(job, name).unknown[0]?.rule ?? '';

  test('codes admits a further code, and only that one', () => {
    const job = jobWith({ codes: ['QLM03'] });
    expect(seven(job, 'QLM03_p07_inks.tif')).toEqual(['QLM03_p07_inks.tif as line']);
    expect(seven(job, 'qlm-3 07.tif')).toEqual(['qlm-3 07.tif as whole']);
    expect(ruleOf(job, 'QLM04_p07_inks.tif')).toContain('another issue: "QLM04"');
    expect(ruleOf(job, 'QLM03 spine.tif')).toContain('belongs elsewhere: "spine"');
    expect(match(testJob, 'QLM03_p07.tif').unknown[0].remedy).toContain('codes: [QLM03]');
  });

  test('letters tell parts behind a page number where the job says so, and pages of their own otherwise', () => {
    const job = jobWith({ letters: { c: 'colour', k: 'line', w: 'whole' } });
    expect(seven(job, 'p007c.tif')).toEqual(['p007c.tif as colour']);
    expect(seven(job, 'SHN04_7k.tif')).toEqual(['SHN04_7k.tif as line']);
    expect(seven(job, 'P007W_v2.tif')).toEqual(['P007W_v2.tif as whole']);
    expect(ruleOf(job, 'p007a.tif')).toContain('page 7a is not on the page list');
    expect(ruleOf(job, 'p007c_inks.tif')).toContain('several parts');
    expect(match(testJob, 'p007c.tif').unknown[0].remedy).toContain('letters: { c: colour, k: line');
  });

  test('a letter that is also the name of a page fits two pages, and is asked', () => {
    const job = jobWith({ letters: { c: 'colour' }, pages: [testPage('7', [7]), testPage('7c', [])] });
    expect(ruleOf(job, 'p7c.tif')).toBe('fits page 7c, and by its letter the colour of page 7');
  });

  test('ignoreWords explains words, and admits what would be passed over', () => {
    const job = jobWith({ ignoreWords: ['moreau', 'Studio Nord', 'ref'] });
    expect(seven(job, 'p07_Moreau_StudioNord.tif')).toEqual(['p07_Moreau_StudioNord.tif as whole']);
    expect(seven(job, 'p07 ref.tif')).toEqual(['p07 ref.tif as whole']);
    expect(ruleOf(job, 'p07_Moreau_Petit.tif')).toContain('nobody has explained "Petit"');
    const remedy = match(testJob, 'p07_Moreau.tif').unknown[0].remedy;
    expect(remedy).toContain('ignoreWords: [moreau]');
    expect(remedy).toMatch(
      /names: \{ "p07_Moreau\.tif": \{ page: 7, part: ___ \} \} {2}# part: whole, colour, /,
    );
  });

  test('a word under parts settles what two languages use for two parts, and what is not for print elsewhere', () => {
    const partWords = { ...testJob.partWords, line: [...testJob.partWords.line, 'tinta', 'pencils'] };
    const job = jobWith({ partWords });
    expect(seven(job, 'p07_tinta.tif')).toEqual(['p07_tinta.tif as line']);
    expect(seven(job, 'p07_pencils.tif')).toEqual(['p07_pencils.tif as line']);
  });

  test('the title is no part, even where one of its words is', () => {
    const job = jobWith({ title: 'The Ink Thief' });
    expect(seven(job, 'The Ink Thief p07.tif')).toEqual(['The Ink Thief p07.tif as whole']);
    expect(seven(job, 'InkThief_p07_inks.tif')).toEqual(['InkThief_p07_inks.tif as line']);
  });

  test('a title or a scene of one word that is a part word is the title where names begin with it, and asked elsewhere', () => {
    const noir = jobWith({ title: 'Noir' });
    expect(seven(noir, 'Noir p07.tif')).toEqual(['Noir p07.tif as whole']);
    expect(seven(noir, 'SHN04_noir_07.tif')).toEqual(['SHN04_noir_07.tif as whole']);
    expect(seven(noir, 'Noir_p07_noir_inks.tif')).toEqual(['Noir_p07_noir_inks.tif as line']);
    expect(seven(noir, 'p07_noir_colour.tif')).toEqual(['p07_noir_colour.tif as colour']);
    expect(ruleOf(noir, 'p07 noir.tif')).toBe('"noir" may tell whole or line');
    const { remedy } = match(noir, 'p07 noir.tif').unknown[0];
    expect(remedy).toContain('ignoreWords: [noir]');
    expect(remedy).toContain('page: 7, part: ___ } }  # part: whole or line');
    expect(seven(testJob, 'p07 noir.tif')).toEqual(['p07 noir.tif as line']);
    const scene = jobWith({ scenes: [{ id: 'sketch', title: 'Ink' }] });
    expect(seven(scene, 'sketch_p07.tif')).toEqual(['sketch_p07.tif as whole']);
    expect(ruleOf(scene, 'p07_ink.tif')).toBe('"ink" may tell whole or line');
    expect(match(testJob, 'sketch_p07.tif').passedOver).toHaveLength(1);
  });

  test('a lone letter is asked for the part that it tells, since to ignore it would make the line the whole page', () => {
    const remedyOf = (name: string) => match(testJob, name).unknown[0].remedy;
    expect(remedyOf('p07_k.tif')).toContain('parts: { line: [k] }');
    expect(remedyOf('p07_C.tif')).toContain('parts: { colour: [c] }');
    expect(remedyOf('p07_k.tif')).not.toContain('ignoreWords');
    const partWords = { ...testJob.partWords, line: [...testJob.partWords.line, 'k'] };
    expect(seven(jobWith({ partWords }), 'p07_k.tif')).toEqual(['p07_k.tif as line']);
  });

  test('a code that is also a page word counts where the name tells its page besides; a number behind it is asked', () => {
    const job = jobWith({ issue: 'P03', number: undefined, pages: [testPage('2', [2]), testPage('3', [3])] });
    const { rule, remedy } = match(job, 'P03_02.tif').unknown[0];
    expect(rule).toContain('the number 2 behind page 3');
    expect(remedy).toContain('# page: 3 or 2');
    expect(used(matchOf(match(job, 'P03_p02.tif'), '2'))).toEqual(['P03_p02.tif as whole']);
  });

  test('page and part that are told count whatever else stands in the name, and the rule says what nobody explained', () => {
    const [file] = matchOf(match(testJob, 'p07_inks_moreau.tif'), '7').files;
    expect(file).toMatchObject({ part: 'line', rule: expect.stringContaining('whatever "moreau" means') });
  });

  test('job.yaml has them, and refuses a blank that nobody has filled in', () => {
    const text = (more: string) =>
      `issue: SHN04\ntitle: T\nunits: in\nprint: {trim: [6, 9], bleed: 0.1, safe: 0.2, press: cgats-tr006}\npages: [{pages: 7}]\n${more}`;
    const job = parseJob(text('codes: [QLM03]\nletters: {C: colour}\nignoreWords: [moreau]\n'), '/jobs/x');
    expect(job).toMatchObject({ codes: ['QLM03'], letters: { c: 'colour' }, ignoreWords: ['moreau'] });
    expect(parseJob(text(''), '/jobs/x')).toMatchObject({ codes: [], letters: {}, ignoreWords: [] });
    expect(() => parseJob(text('names: { "a.tif": { page: ___, part: whole } }\n'), '/jobs/x')).toThrow(
      /"___"/,
    );
    expect(() => parseJob(text('letters: {cc: colour}\n'), '/jobs/x')).toThrow(/one letter/);
  });
});

describe('what pictures answer where names leave something open', () => {
  const answered = (
    answer: Parameters<typeof matchNames>[1] extends ReadonlyMap<string, infer A> ? A : never,
    ...names: string[]
  ) => {
    const read = readNames(testJob, testFiles(...names));
    return matchNames(read, new Map([...read.questions.keys()].map((name) => [name, answer])));
  };

  test('one bit is line, whatever the name leaves out', () => {
    const page = matchOf(answered('one bit', 'p07.tif', 'p07_colour.tif'), '7');
    expect(used(page)).toEqual(['p07_colour.tif as colour', 'p07.tif as line']);
    expect(page.files[1].rule).toContain('one bit a pixel is ink or paper');
    expect(matchOf(answered('one bit', 'p08.tif'), '8')).toMatchObject({
      state: 'waiting',
      missing: ['colour'],
    });
  });

  test('flat is flats, a flattened page, or asked', () => {
    expect(used(matchOf(answered('flat fills', 'p07_flat.tif'), '7'))).toEqual(['p07_flat.tif as flats']);
    expect(used(matchOf(answered('a flattened page', 'p07_flat.tif'), '7'))).toEqual([
      'p07_flat.tif as whole',
    ]);
    expect(answered('unclear', 'p07_flat.tif').unknown[0].remedy).toContain('parts: { flats: [flat] }');
  });

  test('only what is open is asked', () => {
    const { questions } = readNames(testJob, testFiles('p07.tif', 'p08_inks.tif', 'p09 flat.png', 'x.tif'));
    expect([...questions]).toEqual([
      ['p07.tif', 'depth'],
      ['p09 flat.png', 'fills'],
    ]);
  });
});
