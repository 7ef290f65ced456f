import { readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Validator } from '@cfworker/json-schema';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import type { ReportData } from '../../../pipeline/report/report-form.js';
import { reportJsonSchema } from '../../../pipeline/report/report-schema.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { parsedHtml } from '../../helpers/parsed-html.js';
import { colourPage, openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

const jobYaml = `
issue: QRY02
title: The Quarry Bells
units: mm
print: { trim: [50, 70], bleed: 3, safe: 5, colourPpi: 72, linePpi: 144, proofPpi: 72, press: cgats-tr006 }
pages:
  - pages: 1-3
`;

describe('the report of a run', () => {
  let issue: SmallIssue;
  const inReport = (...names: readonly string[]) => join(issue.folder, 'report', ...names);
  const data = async () => JSON.parse(await readFile(inReport('report.json'), 'utf8')) as ReportData;
  const run = (options = {}) => runIssue(issue.job, { runner: pagesHere, ...options });

  beforeAll(async () => {
    issue = await openSmallIssue(jobYaml);
    await issue.drop('p1.tif', await tiffOf(colourPage(), 200));
    await issue.drop('p2 colour.tif', await tiffOf(colourPage(40), 200));
    await issue.drop('notes <b>.tif', await tiffOf(colourPage(90), 200));
  });
  afterAll(() => issue.remove());

  test('stands in report/ with the pictures of all pages that could be made, and agrees with its schema', async () => {
    const report = await run();
    expect(report.reportFile).toBe('report/report.html');
    const found = await data();
    const { valid, errors } = new Validator(reportJsonSchema(), '2020-12', false).validate(found);
    expect(errors).toEqual([]);
    expect(valid).toBe(true);
    expect(found.pages.map(({ page, state }) => [page, state])).toEqual(
      report.pages.map(({ page, state }) => [page, state]),
    );
    const paths = found.pages.flatMap(({ pictures }) =>
      pictures === null ? [] : [pictures.path, ...pictures.layers.map(({ path }) => path)],
    );
    expect([...new Set(paths)].map((path) => path.replace('img/', '')).sort()).toEqual(
      (await readdir(inReport('img'))).sort(),
    );
    const [first, , third] = found.pages;
    expect(third.pictures).toBeNull();
    const { width, height } = await sharp(inReport(first.pictures?.path ?? '')).metadata();
    expect([width, height]).toEqual([first.pictures?.width, first.pictures?.height]);
    expect(found.leftOut.map(({ file }) => file)).toContain('notes <b>.tif');
    const text = await readFile(inReport('report.html'), 'utf8');
    expect(parsedHtml(text).problems).toEqual([]);
    for (const one of [text, await readFile(inReport('report.json'), 'utf8')])
      expect(one).not.toContain(issue.folder);
  });

  test('is left alone while it says the same, made anew where somebody wrote into it, and the same as before', async () => {
    const before = await readFile(inReport('report.html'));
    const pictures = await readdir(inReport('img'));
    expect(pictures.length).toBeGreaterThan(0);
    const writtenMs = async () => (await stat(inReport('report.html'))).mtimeMs;
    const at = await writtenMs();
    await run();
    expect(await writtenMs()).toBe(at);
    await writeFile(inReport('report.html'), 'scribble');
    await run();
    expect(await readFile(inReport('report.html'))).toEqual(before);
    await rm(inReport(), { recursive: true });
    await run();
    expect(await readFile(inReport('report.html'))).toEqual(before);
    expect(await readdir(inReport('img'))).toEqual(pictures);
  });

  test('has the pictures of a page also where only its proof was asked for, and follows the page', async () => {
    const before = await data();
    await issue.drop('p3.tif', await tiffOf(colourPage(120), 200));
    await run({ products: ['proof'], pages: ['3'] });
    const after = await data();
    expect(before.pages[2].state).toBe('missing');
    expect(after.pages[2].state).toBe('ready');
    expect(after.pages[2].pictures?.layers.map(({ role }) => role)).toContain('ink-coverage');
  });

  test('goes into a bundle with its pictures, says nothing of the version before, and is named for its receiver', async () => {
    const { path } = await deliver(issue.job, {
      runner: pagesHere,
      date: '2026-11-20',
      partial: { reason: 'a trial' },
    });
    const entries = readZip(await readFile(join(issue.folder, path)));
    const packed = new Map(entries.map(({ name, data }) => [name.replace(/^[^/]*\/data\//, ''), data]));
    const html = parsedHtml(String(packed.get('report/report.html')));
    const pictures = html.all('img').map(({ attributes }) => decodeURIComponent(attributes.src ?? ''));
    expect(pictures.length).toBeGreaterThan(2);
    for (const one of pictures) expect(packed.has(`report/${one}`), one).toBe(true);
    const told = JSON.parse(String(packed.get('report/report.json'))) as ReportData;
    expect(told.kinds.filter(({ code }) => code.startsWith('version-'))).toEqual([]);
    expect(String(packed.get('READ-ME.txt')).replace(/\s+/g, ' ')).toContain(
      'report/report.html: what was found on each page and where',
    );
  });
});
