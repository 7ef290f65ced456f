import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { withNewer } from '../../../pipeline/issue/page-run.js';
import { lookAgain, planIssue } from '../../../pipeline/issue/plan.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { colourPage, dropAll, openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
});
afterEach(() => issue.remove());

const options = { pages: undefined, products: ['proof'] } as const;

describe('a second look at pages that somebody else has worked on', () => {
  test('finds the files and the result that they have now, and leaves the others alone', async () => {
    const plan = await planIssue(issue.job, options);
    await issue.drop('QRY02_p02_colour_v4.tif', await tiffOf(colourPage(90)));
    await issue.drop('QRY02_p03_colour_v4.tif', await tiffOf(colourPage(50)));
    await runIssue(issue.job, { runner: pagesHere, pages: ['2'], products: ['proof'] });
    const found = await lookAgain(issue.job, new Set(['2', 'no such page']), plan.caches);
    expect(found.map(({ page }) => page.id)).toEqual(['2']);
    const [{ match, stored, request }] = found;
    expect(match.files.map(({ name }) => name)).toContain('QRY02_p02_colour_v4.tif');
    expect(stored?.result.used.map(({ name }) => name)).toContain('QRY02_p02_colour_v4.tif');
    expect(request).toBeUndefined();
    const now = withNewer(plan.runs, found);
    expect(now.map(({ page }) => page.id)).toEqual(['cover', '1', '2', '3']);
    expect(now.map((run, index) => run === plan.runs[index])).toEqual([true, true, false, true]);
  });
});
