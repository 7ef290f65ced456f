import { createHash } from 'node:crypto';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import type { PageRunner } from '../../../pipeline/runner/page-runner.js';
import { openMadeIssue } from '../../helpers/made-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import {
  colourPage,
  dropAll,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
});
afterEach(() => issue.remove());

/** As a run of all pages has left it. */
async function replaceByMade(): Promise<void> {
  await issue.remove();
  issue = await openMadeIssue();
}

const pressNames = async () => (await readdir(join(issue.folder, 'press'))).sort();
const hashOf = async (name: string) =>
  createHash('sha256')
    .update(await readFile(join(issue.folder, 'press', name)))
    .digest('hex');

/** A run in which something happens before its first page is made. */
const meanwhile = (happens: () => Promise<unknown>): PageRunner => {
  let once: Promise<unknown> | undefined;
  return {
    takesUnhashed: true,
    async run(request, signal) {
      once ??= happens();
      await once;
      return pagesHere.run(request, signal);
    },
    close: async () => undefined,
  };
};

describe('two runs side by side', () => {
  test('leave the newer press files of a page in place, whichever ends last', async () => {
    await replaceByMade();
    await issue.drop('QRY02_p01_colour_v4.tif', await tiffOf(colourPage(30)));
    let newer = '';
    const report = await runIssue(issue.job, {
      pages: ['1'],
      runner: meanwhile(async () => {
        await issue.drop('QRY02_p02_colour_v4.tif', await tiffOf(colourPage(90)));
        await runIssue(issue.job, { runner: pagesHere, pages: ['2'] });
        newer = await hashOf('QRY02_2.tif');
      }),
    });
    expect(await hashOf('QRY02_2.tif')).toBe(newer);
    const composite = report.pages[2].outputs.find(({ role }) => role === 'composite');
    expect(composite?.sha256).toBe(newer);
  });

  test('keep press files that one of them made of a page the other knew as proofed only', async () => {
    await runIssue(issue.job, { runner: pagesHere, products: ['proof'] });
    await issue.drop('QRY02_p01_colour_v4.tif', await tiffOf(colourPage(30)));
    const beside = () => runIssue(issue.job, { runner: pagesHere, pages: ['2'] });
    await runIssue(issue.job, { runner: meanwhile(beside), pages: ['1'] });
    expect(await pressNames()).toEqual([
      'QRY02_1.tif',
      'QRY02_1_line.tif',
      'QRY02_2.tif',
      'QRY02_2_line.tif',
    ]);
  });
});

describe('a page that is called otherwise in the page list', () => {
  const jobWith = async (text: string) => {
    await writeFile(join(issue.folder, 'job.yaml'), text);
    return parseJob(text, issue.folder);
  };
  const called = (pages: string) => `${smallJob.replace('pages: 1-3', `pages: ${pages}`)}  - page: 10\n`;

  test('keeps its press files where their names stay the same', async () => {
    await runIssue(await jobWith(called('1-3')), { runner: pagesHere });
    const before = await pressNames();
    expect(before).toContain('QRY02_01.tif');
    await runIssue(await jobWith(called('01-03')), { runner: pagesHere });
    expect(await pressNames()).toEqual(before);
  });

  test('loses those that bear its old name', async () => {
    await replaceByMade();
    const renamed = smallJob.replace('  proofPpi: 72', '  proofPpi: 72\n  naming: "{page}-{issue}"');
    await runIssue(await jobWith(renamed), { runner: pagesHere });
    const names = await pressNames();
    expect(names.filter((name) => name.startsWith('QRY02_'))).toEqual([]);
    expect(names).toContain('1-QRY02.tif');
  });
});

describe('an issue of which only proofs were made', () => {
  test('is not ready for print, though the run did what it was asked for', async () => {
    const { exitCodeOf } = await import('../../../pipeline/issue/report.js');
    const { readStatus } = await import('../../../pipeline/issue/status.js');
    const report = await runIssue(issue.job, { runner: pagesHere, products: ['proof'] });
    expect(exitCodeOf(report)).toBe(0);
    const { blocking } = await readStatus(issue.job);
    expect(blocking.map(({ page, state }) => [page, state])).toEqual(
      ['cover', '1', '2', '3'].map((page) => [page, 'ready']),
    );
    expect(blocking[0].why).toMatch(/press files are not made yet/);
    await runIssue(issue.job, { runner: pagesHere });
    expect((await readStatus(issue.job)).blocking).toEqual([]);
  });
});
