import { truncate } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { IssueBoard } from '../../../watch/daemon/issue-board.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { flatPage, openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';

/** Far beyond the 4 GB that are taken in; it takes no room on the disk, and minutes to read. */
const largeBytes = 60 * 2 ** 30;

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  const bytes = await tiffOf(flatPage());
  for (const page of ['01', '02', '03']) await issue.drop(`QRY02_p${page}.tif`, bytes);
  await truncate(join(issue.folder, 'incoming', 'QRY02_p02.tif'), largeBytes);
});
afterEach(() => issue.remove());

const tooLarge = { code: 'picture-too-large', severity: 'stop', file: 'QRY02_p02.tif' };

describe('a file larger than any working page', () => {
  test('stops its own page before a byte of it is read, and the others are made', async () => {
    const report = await runIssue(issue.job, { products: ['proof'], runner: pagesHere });
    const [, first, second, third] = report.pages;
    expect(second).toMatchObject({ state: 'stopped', findings: [tooLarge] });
    for (const { outputs } of [first, third]) expect(outputs.map(({ role }) => role)).toContain('proof');
    // Once the others have results, files are read for their checksums in another place.
    const again = await runIssue(issue.job, { products: ['proof'], runner: pagesHere });
    expect(again.pages[2]).toMatchObject({ state: 'stopped', findings: [tooLarge] });
  });

  test('does not keep the daemon from planning other pages', async () => {
    const board = await IssueBoard.open(issue.job, { settleMs: 0, graceMs: 10 });
    await board.look(() => undefined);
    const planned: string[] = [];
    await board.look(({ page, request }) => {
      if (request !== undefined) planned.push(page.id);
    });
    // Pages are planned side by side, in no order.
    expect(planned.sort()).toEqual(['1', '3']);
    expect(board.runOf('2')?.failure).toMatchObject(tooLarge);
  });
});
