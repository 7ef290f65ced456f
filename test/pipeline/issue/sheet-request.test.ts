import { readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { type PageReport, reportOf } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { sheetRequest } from '../../../pipeline/issue/sheet-request.js';
import type { Finding } from '../../../pipeline/model/findings.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
});
afterEach(() => issue.remove());

/** A page with something to look at. */
const attended = (page: PageReport, code: string): PageReport => ({
  ...page,
  state: 'attention',
  findings: [{ ...finding, code, page: page.page }],
});

const finding: Finding = {
  code: '',
  severity: 'warn',
  page: '',
  file: undefined,
  message: '',
  measured: undefined,
  limit: undefined,
  source: undefined,
  remedy: '',
};

async function requested() {
  const { reconciliation, runs } = await planIssue(issue.job, { pages: undefined, products: [] });
  return sheetRequest(issue.job, reportOf(issue.job, reconciliation, runs, []), runs);
}

describe('what the contact sheet is to show', () => {
  test('of an issue without results is blanks, each with its reason, and the press of the job', async () => {
    await rm(join(issue.folder, 'incoming', 'qry-02 pg 2 line.tif'));
    const { pages, condition, summary, scenes, ...heading } = await requested();
    expect(heading).toEqual({ ...heading, issue: 'QRY02', title: 'The Quarry Bells', number: 2 });
    expect(heading.due).toBe(issue.job.due);
    expect([condition, scenes]).toEqual(['cgats-tr006', issue.job.scenes]);
    expect(summary).toMatch(/^0 pages done/);
    expect(pages.map(({ id, state, thumbnail }) => [id, state, thumbnail])).toEqual(
      ['cover', '1', '2', '3'].map((id) => [id, id === '2' ? 'waiting' : 'ready', undefined]),
    );
    const [cover, first] = pages;
    expect([cover.scene, cover.numbers, cover.kind]).toEqual([undefined, [], 'cover']);
    expect(first).toMatchObject({ label: '1', scene: 'quarry', numbers: [1], isSpread: false });
    expect([first.sceneTitle, first.aspect]).toEqual(['The quarry at noon', 50 / 70]);
    expect(first.note).toMatch(/not made yet/);
  });

  test('of pages that are proofed only is their picture, marked as ready', async () => {
    await runIssue(issue.job, { runner: pagesHere, products: ['proof'] });
    const { pages, condition } = await requested();
    for (const { state, note, thumbnail } of pages) {
      expect(state).toBe('ready');
      expect(note).toMatch(/press files are not made yet/);
      const png = await readFile(thumbnail?.path ?? '');
      expect(png.subarray(1, 4).toString()).toBe('PNG');
    }
    expect(condition).toMatch(/^cgats-tr006, ink limit \d+ %$/);
  });

  test('names each press condition once, with all its ink limits', async () => {
    await runIssue(issue.job, { runner: pagesHere, products: ['proof'] });
    const { reconciliation, runs } = await planIssue(issue.job, { pages: undefined, products: [] });
    const report = reportOf(issue.job, reconciliation, runs, []);
    const others = [
      { id: 'fogra39l', inkLimitPercent: 300 },
      { id: 'cgats-tr006', inkLimitPercent: 320 },
      { id: 'cgats-tr006', inkLimitPercent: 100 },
      { id: 'fogra29l', inkLimitPercent: 270 },
    ];
    const pages = report.pages.map((page, at): PageReport => {
      return { ...page, condition: page.condition && { ...page.condition, ...others[at] } };
    });
    const { condition } = sheetRequest(issue.job, { ...report, pages }, runs);
    expect(condition).toBe('fogra39l, ink limit 300 %; cgats-tr006, 320 and 100 %; fogra29l, 270 %');
  });

  test('says in its first line what its marks say: what only tells of a last version stays at home', async () => {
    const { reconciliation, runs } = await planIssue(issue.job, { pages: undefined, products: [] });
    const report = reportOf(issue.job, reconciliation, runs, []);
    const [cover, first, second, third] = report.pages;
    const pages = [
      attended(cover, 'version-moved'),
      attended(first, 'bleed-missing'),
      ...[second, third].map((page): PageReport => ({ ...page, state: 'done' })),
    ];
    const counts = { ...report.counts, ready: 0, done: 2, attention: 2 };
    const sheet = sheetRequest(issue.job, { ...report, pages, counts }, runs);
    expect(sheet.pages.map(({ state }) => state)).toEqual(['done', 'attention', 'done', 'done']);
    expect(sheet.summary).toBe('4 pages done, 1 of them to look at');
  });
});
