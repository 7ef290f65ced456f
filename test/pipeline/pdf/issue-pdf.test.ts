import { readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { PDFName } from '@cantoo/pdf-lib';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { maskSamples, pictureSamples, readPdf, tableOf } from '../../helpers/read-pdf.js';
import { dropAll, openSmallIssue, type SmallIssue, smallJob } from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

let issue: SmallIssue;
beforeAll(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
  await runIssue(issue.job, { runner: pagesHere });
});
afterAll(() => issue.remove());

const allPages = 'pdf/QRY02_all-pages.pdf';
const bytesOf = ({ folder }: SmallIssue, path = allPages) => readFile(join(folder, path));

describe('the PDF of an issue', () => {
  test('holds every page in reading order, its streams as they are in the PDF of the page', async () => {
    const whole = await readPdf(await bytesOf(issue));
    expect(whole.document.getPageCount()).toBe(4);
    for (const [at, page] of ['cover', '1', '2', '3'].entries()) {
      const single = await readPdf(await bytesOf(issue, `pdf/QRY02_${page}.pdf`));
      for (const box of ['MediaBox', 'BleedBox', 'TrimBox']) {
        expect(whole.said('Page', at, box)).toBe(single.said('Page', 0, box));
      }
      expect(Buffer.compare(pictureSamples(whole, at).data, pictureSamples(single).data)).toBe(0);
      const hasLine = single.text.includes('ImageMask');
      expect(whole.said('Page', at, 'Resources', 'XObject')?.includes('Layer0')).toBe(hasLine);
      if (hasLine) expect(Buffer.compare(await maskSamples(whole, at), await maskSamples(single))).toBe(0);
    }
  });

  test('has a table that says of every object where it begins', async () => {
    for (const { id, begins } of tableOf((await bytesOf(issue)).toString('latin1'))) {
      expect(begins.startsWith(`${id} 0 obj\n`), `${id}: ${begins}`).toBe(true);
    }
  });

  test('calls its pages by their labels, and has a bookmark where a scene begins', async () => {
    const whole = await readPdf(await bytesOf(issue));
    const labels = [0, 1, 2, 3].map((at) => whole.said('Root', 'PageLabels', 'Nums', 2 * at + 1, 'P'));
    expect(labels).toEqual(['(cover)', '(1)', '(2)', '(3)']);
    const bookmark = (...path: string[]) => whole.said('Root', 'Outlines', ...path, 'Title');
    expect([bookmark('First'), bookmark('Last')]).toEqual(['(cover)', '(The quarry at noon)']);
    expect(whole.said('Root', 'Outlines', 'Last', 'Dest', 1)).toBe('/Fit');
    const pageOf = whole.at('Root', 'Outlines', 'Last', 'Dest', 0);
    expect(pageOf).toBe(whole.document.getPages()[1].node);
    expect(whole.said('Root', 'Outlines', 'Last', 'A')).toBeUndefined();
  });

  test('says the same of itself in both places, and names one printing condition', async () => {
    const whole = await readPdf(await bytesOf(issue));
    expect(whole.said('Info', 'Title')).toBe('(The Quarry Bells, number 2 \\(QRY02\\))');
    expect(whole.text).toContain('The Quarry Bells, number 2 (QRY02)</rdf:li>');
    expect(whole.said('Root', 'OutputIntents', 0, 'OutputConditionIdentifier')).toBe('(CGATS TR 006)');
    const profile = whole.stream('Root', 'OutputIntents', 0, 'DestOutputProfile');
    const shipped = await readFile(new URL('../../../config/profiles/cgats-tr006.icc', import.meta.url));
    expect(Buffer.compare(profile.contents, shipped)).toBe(0);
    expect(profile.dict.get(PDFName.of('N'))?.toString()).toBe('4');
  });

  test('is not made again while nothing has changed, and made anew where somebody has written into it', async () => {
    const before = await bytesOf(issue);
    await runIssue(issue.job, { runner: pagesHere });
    expect((await bytesOf(issue)).equals(before)).toBe(true);
    await writeFile(join(issue.folder, allPages), 'scribble');
    await runIssue(issue.job, { runner: pagesHere });
    expect((await bytesOf(issue)).equals(before)).toBe(true);
    await rm(join(issue.folder, '.platehand', 'issue-pdf.json'));
    await runIssue(issue.job, { runner: pagesHere });
    expect((await bytesOf(issue)).equals(before)).toBe(true);
  });
});

describe('a page that is', () => {
  let other: SmallIssue;
  beforeEach(async () => {
    other = await openSmallIssue();
  });
  afterEach(() => other.remove());

  test('missing is left out, and the report names those that are in it', async () => {
    await dropAll(other);
    const incoming = await readdir(join(other.folder, 'incoming'));
    for (const name of incoming.filter((each) => each.includes('pg 2'))) {
      await rm(join(other.folder, 'incoming', name));
    }
    const report = await runIssue(other.job, { runner: pagesHere });
    expect(report.pages.find(({ page }) => page === '2')?.state).toBe('missing');
    expect(report.issuePdfs).toEqual([{ path: allPages, pages: ['cover', '1', '3'] }]);
    expect((await readPdf(await bytesOf(other))).document.getPageCount()).toBe(3);
    const delivered = await deliver(other.job, { runner: pagesHere, partial: { reason: 'a test' } });
    const packed = readZip(await readFile(join(other.folder, delivered.path)));
    const pdf = packed.find(({ name }) => name.endsWith(`/data/${allPages}`));
    expect(pdf?.data.equals(await bytesOf(other))).toBe(true);
  });

  test('for another paper makes a PDF of its own', async () => {
    const jobYaml = smallJob.replace('scenes:', 'kinds:\n  cover: { press: fogra39l }\nscenes:');
    const job = parseJob(jobYaml, other.folder);
    await dropAll(other);
    const { issuePdfs } = await runIssue(job, { runner: pagesHere });
    expect(issuePdfs).toEqual([
      { path: 'pdf/QRY02_all-pages_fogra39l.pdf', pages: ['cover'] },
      { path: 'pdf/QRY02_all-pages_cgats-tr006.pdf', pages: ['1', '2', '3'] },
    ]);
    // Back on one paper, the two are gone.
    await runIssue(other.job, { runner: pagesHere });
    expect((await readdir(join(other.folder, 'pdf'))).filter((name) => name.includes('all-pages'))).toEqual([
      'QRY02_all-pages.pdf',
    ]);
    const none = parseJob(smallJob.replace('press:', 'issuePdf: false\n  press:'), other.folder);
    expect((await runIssue(none, { runner: pagesHere })).issuePdfs).toEqual([]);
    expect((await readdir(join(other.folder, 'pdf'))).filter((name) => name.includes('all-pages'))).toEqual(
      [],
    );
    const { path } = await deliver(none, { runner: pagesHere });
    const names = readZip(await readFile(join(other.folder, path))).map(({ name }) => name);
    expect(names.filter((name) => name.includes('/pdf/'))).toHaveLength(4);
  });
});
