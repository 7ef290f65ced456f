import { chmod, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadJob, parseJob } from '../../config/load-job.js';
import { foundIn, jobText, problemsOf } from './job-text.js';

const whole = `
issue: TDL03                # issue code
title: The Drowned Lighthouse
number: 003
due: 2026-12-04T17:00:00+01:00
units: in
print:
  trim: [6.625, 10.25]
  bleed: .125
  safe: 0.25
  press: cgats-tr006
  inkLimit: 300
kinds:
  cover: { press: ./paper.icc, trim: [6.75, 10.25] }
scenes:
  - { id: harbour, title: "Harbour, noon" }
  - id: flashback
pages:
  - page: cover
    aliases: [face]
  - pages: 1-5
    scene: harbour
  - spread: 6-7
    print: { bleed: 0.25 }
  - page: 8
    needs: [colour, line, line]
    accept: { colour-ppi-low: "editor agreed on 2 Dec" }
held:
  - page: 08
    reason: script rewrite
names:
  "final FINAL (3).tif": { page: FRONT, part: colour }
  "cafe\u0301.tif": { page: 8, part: line, picture: 2 }
  "notes.png": ignore
parts:
  line: [Tusche]
`;

describe('a job file', () => {
  const job = parseJob(whole, '/jobs/tdl03');
  const pageOf = (id: string) => job.pages.find((page) => page.id === id);

  it('becomes a job', () => {
    expect(job).toMatchObject({
      folder: resolve('/jobs/tdl03'),
      issue: 'TDL03',
      title: 'The Drowned Lighthouse',
      number: 3,
      due: '2026-12-04T17:00:00+01:00',
      units: 'in',
      naming: '{issue}_{page}',
      scenes: [
        { id: 'harbour', title: 'Harbour, noon' },
        { id: 'flashback', title: 'flashback' },
      ],
    });
    expect(job.pages.map((page) => page.id)).toEqual(['cover', '1', '2', '3', '4', '5', '6-7', '8']);
  });

  it('applies what it says about a kind to pages of that kind alone', () => {
    expect(pageOf('cover')?.spec.press).toEqual({ kind: 'file', path: resolve('/jobs/tdl03/paper.icc') });
    expect(pageOf('cover')?.spec.trim.widthMm).toBeCloseTo(6.75 * 25.4, 9);
    expect(pageOf('1')?.spec.press).toEqual({ kind: 'shipped', name: 'cgats-tr006' });
    expect(pageOf('1')?.spec.trim.widthMm).toBeCloseTo(6.625 * 25.4, 9);
  });

  it('applies what it says about a page to that page alone', () => {
    expect(pageOf('6-7')?.spec.bleedMm).toBeCloseTo(0.25 * 25.4, 9);
    expect(pageOf('6-7')?.spec.trim.widthMm).toBeCloseTo(2 * 6.625 * 25.4, 9);
    expect(pageOf('5')?.spec.bleedMm).toBeCloseTo(0.125 * 25.4, 9);
  });

  it('keeps needs, scenes, accepted findings and held pages with their page', () => {
    expect(pageOf('8')).toMatchObject({
      needs: ['colour', 'line'],
      scene: undefined,
      accepted: { 'colour-ppi-low': 'editor agreed on 2 Dec' },
      heldReason: 'script rewrite',
    });
    expect(pageOf('5')).toMatchObject({
      needs: undefined,
      scene: 'harbour',
      accepted: {},
      register: { line: 'off' },
      clean: 'off',
      heldReason: undefined,
    });
  });

  it('keeps name assignments by composed name, with the id that the page has in the list', () => {
    expect([...job.assignments]).toEqual([
      ['final FINAL (3).tif', { kind: 'page', page: 'cover', part: 'colour', picture: undefined }],
      ['caf\u00e9.tif', { kind: 'page', page: '8', part: 'line', picture: 2 }],
      ['notes.png', { kind: 'ignore' }],
    ]);
  });

  it('adds its words to the built-in ones', () => {
    expect(job.partWords.line).toEqual(expect.arrayContaining(['inks', 'tusche']));
    expect(job.partWords.colour).not.toContain('tusche');
  });

  it('may leave sections empty whose entries are all commented out', () => {
    expect(problemsOf(jobText({ more: 'kinds:\nscenes:\nheld:\nnames:\nparts:\nnumber:\n# - x' }))).toEqual(
      [],
    );
  });
});

describe('mistakes', () => {
  it('are all reported at once: YAML, shape and rules together, in the order of the file', () => {
    const text = jobText({
      issue: 'TDL 03',
      print: 'bleed: -1\ncolorPpi: 300\npress: nowhere\nintent: relativ',
      pages: '[{page: 1, scene: quay}, {page: 1}, {pages: 5-2}, {}]',
      more: 'title: again',
    });
    expect(problemsOf(text)).toEqual([
      'issue cannot be "TDL 03"',
      'print.bleed cannot be "-1"',
      '"colorPpi" is not a key of print (did you mean "colourPpi"?)',
      'no press condition called "nowhere" ships with platehand',
      'print.intent cannot be "relativ" (did you mean "relative"?)',
      'there is no scene "quay"',
      'page 1 stands in the list a second time',
      'pages 5-2 run backwards',
      'this entry names no page',
      'the key "title" stands here twice',
    ]);
  });

  it('carry line, column, what was expected, and an example that would be accepted', () => {
    const text = jobText({ print: 'linePpi: 24000' });
    expect(foundIn(text)).toEqual([
      {
        line: 9,
        column: 12,
        path: 'print.linePpi',
        message: 'print.linePpi cannot be "24000"',
        expected: 'a number from 72 to 2400',
        example: 'linePpi: 600',
      },
    ]);
    expect(() => parseJob(text, '/jobs/x')).toThrow(
      'job.yaml:9:12: print.linePpi cannot be "24000". Expected a number from 72 to 2400; for example: linePpi: 600',
    );
  });

  it.each([
    ['an empty file', '', 'the file is empty'],
    ['a list', '- a', 'the file cannot be a list'],
    ['a word', 'issue', 'the file cannot be "issue"'],
  ])('of form are one: %s', (_, text, message) => {
    expect(problemsOf(text)).toEqual([message]);
  });

  it('of the page list with page after page twice stay readable', () => {
    const started = Date.now();
    const pages = `\n${'  - page: 1\n'.repeat(5000)}`;
    expect(foundIn(jobText({ pages })).length).toBeGreaterThan(1000);
    expect(Date.now() - started).toBeLessThan(20_000);
  });
});

describe('reading from disk', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'load-job-'));
  });
  afterAll(async () => {
    await rm(folder, { recursive: true, force: true });
  });

  async function folderWith(name: string, content: string | Uint8Array): Promise<string> {
    const path = join(folder, name);
    await mkdir(path);
    await writeFile(join(path, 'job.yaml'), content);
    return path;
  }

  it('reads the job of a folder, byte order mark or not', async () => {
    expect((await loadJob(await folderWith('plain', whole))).issue).toBe('TDL03');
    expect((await loadJob(await folderWith('marked', `\uFEFF${whole}`))).issue).toBe('TDL03');
  });

  it('says how to make a job where there is none', async () => {
    for (const path of [join(folder, 'nowhere'), folder]) {
      await expect(loadJob(path)).rejects.toMatchObject({
        code: 'job-missing',
        remedy: expect.stringContaining('platehand new'),
      });
    }
  });

  it('refuses what is not UTF-8, too large, or no file', async () => {
    const utf16 = Buffer.from(`\uFEFF${whole}`, 'utf16le');
    const bad = [
      await folderWith('utf16', utf16),
      await folderWith('large', `${whole}#${'x'.repeat(256 * 1024)}`),
    ];
    await mkdir(join(folder, 'nested', 'job.yaml'), { recursive: true });
    for (const path of [...bad, join(folder, 'nested')]) {
      await expect(loadJob(path)).rejects.toMatchObject({ code: 'job-unreadable' });
    }
  });

  // The superuser may read everything, and Windows has no such permissions.
  it.skipIf(process.platform === 'win32' || process.getuid?.() === 0)(
    'refuses what it may not read',
    async () => {
      const path = await folderWith('locked', whole);
      await chmod(join(path, 'job.yaml'), 0o000);
      await expect(loadJob(path)).rejects.toMatchObject({ code: 'job-unreadable' });
    },
  );
});
