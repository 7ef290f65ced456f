import type { Stats } from 'node:fs';
import { mkdir, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { exitCodeOf } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { readStatus } from '../../../pipeline/issue/status.js';
import { listIncoming } from '../../../pipeline/names/incoming.js';
import { paintFor, runText } from '../../../watch/commands/report-text.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { flatPage, openSmallIssue, type SmallIssue, smallJob, tiffOf } from '../../helpers/small-issue.js';

/** Ends of paths that the system does not let anybody look at, with its code: permissions do not bind root. */
const closed = vi.hoisted(() => new Map<string, string>());
const refuse = vi.hoisted(() => (path: unknown): void => {
  for (const [end, code] of closed) {
    if (String(path).endsWith(end)) throw Object.assign(new Error(code), { code });
  }
});
vi.mock('node:fs/promises', async (original) => {
  const fs = await original<typeof import('node:fs/promises')>();
  const readdirOpen = async (path: string, options: { withFileTypes: true }) => {
    refuse(path);
    return fs.readdir(path, options);
  };
  return { ...fs, readdir: readdirOpen };
});
vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  const lstat = (path: string, answered: (thrown: unknown, facts?: Stats) => void) => {
    try {
      refuse(path);
    } catch (thrown) {
      return answered(thrown);
    }
    fs.lstat(path, answered);
  };
  return { ...fs, lstat };
});

const onePage = smallJob
  .replace(/pages:\n[\s\S]*$/, 'pages:\n  - pages: 2-3\n')
  .replace(/scenes:[\s\S]*noon\n/, '');
let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue(onePage);
  await mkdir(join(issue.folder, 'incoming', 'scene2'));
  await issue.drop('scene2/p02_v2.tif', await tiffOf(flatPage()));
  await issue.drop('p03.tif', await tiffOf(flatPage()));
});
afterEach(async () => {
  closed.clear();
  await issue.remove();
});

const inPress = async () => (await readdir(join(issue.folder, 'press'))).sort();
const bothPages = ['QRY02_2.tif', 'QRY02_2_line.tif', 'QRY02_3.tif', 'QRY02_3_line.tif'];
const run = () => runIssue(issue.job, { runner: pagesHere });

describe('the listing of incoming/', () => {
  const list = () => listIncoming(join(issue.folder, 'incoming'));

  test('says which folders could not be opened and which files not looked at, why, and what to do', async () => {
    closed.set('scene2', 'EACCES').set('p03.tif', 'EIO');
    expect(await list()).toEqual({
      files: [],
      skipped: [],
      hidden: [
        {
          name: 'p03.tif',
          rule: expect.stringMatching(/could not be looked at \(EIO\)/),
          remedy: expect.stringMatching(/who may read it/),
        },
        {
          name: 'scene2/',
          rule: expect.stringMatching(/could not be opened \(EACCES\)/),
          remedy: expect.stringMatching(/who may read this folder/),
        },
      ],
    });
  });

  test('does not speak of what went away while it was made', async () => {
    closed.set('scene2', 'ENOENT').set('p03.tif', 'ENOENT');
    expect(await list()).toEqual({ files: [], skipped: [], hidden: [] });
  });
});

describe('while a folder of incoming/ cannot be opened', () => {
  test('a run takes no press files away, and says which folder, why, and what to do', async () => {
    await run();
    expect(await inPress()).toEqual(bothPages);
    closed.set('scene2', 'EACCES');
    const report = await run();
    expect(await inPress()).toEqual(bothPages);
    expect(report.workedOn).toEqual([]);
    expect(exitCodeOf(report)).toBe(1);
    expect(report.pages.map(({ page, state }) => `${page} ${state}`)).toEqual(['2 missing', '3 done']);
    const text = runText(report, paintFor({}));
    expect(text).toMatch(/2 +missing +Nothing has arrived, unless it is in scene2\//);
    expect(text).toMatch(
      /scene2\/: could not be opened \(EACCES\); pages .* stay as they are\n.*Check who may read/,
    );
  });

  test('a page is not made anew from the older file that is in sight, and not delivered', async () => {
    await run();
    await issue.drop('p02_v1.tif', await tiffOf(flatPage()));
    closed.set('scene2', 'EACCES');
    const report = await run();
    expect(report.workedOn).toEqual([]);
    expect(report.pages[0]).toMatchObject({ state: 'stopped', files: [{ name: 'p02_v1.tif' }] });
    expect(report.pages[0].findings).toMatchObject([
      { code: 'picture-unreadable', file: 'scene2/p02_v2.tif', remedy: expect.stringMatching(/may read/) },
    ]);
    await expect(deliver(issue.job, { runner: pagesHere })).rejects.toMatchObject({
      code: 'issue-incomplete',
    });
    expect(await inPress()).toEqual(bothPages);
    expect((await readStatus(issue.job)).blocking.map(({ page }) => page)).toEqual(['2']);
  });

  test('pages whose files are elsewhere are worked on', async () => {
    closed.set('scene2', 'EACCES');
    expect((await run()).workedOn).toEqual(['3']);
  });

  test('and when it can be opened again, nothing is made anew; a file that is gone then is gone', async () => {
    await run();
    closed.set('scene2', 'EACCES');
    await run();
    closed.clear();
    expect(await run()).toMatchObject({ workedOn: [], counts: { done: 2 } });
    closed.set('scene2', 'ENOENT');
    await run();
    expect(await inPress()).toEqual(['QRY02_3.tif', 'QRY02_3_line.tif']);
  });
});
