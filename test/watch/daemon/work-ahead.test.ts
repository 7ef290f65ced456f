import { setImmediate } from 'node:timers/promises';
import { expect, test, vi } from 'vitest';
import type { PageRequest } from '../../../pipeline/model/page-request.js';
import type { PagePool } from '../../../pipeline/runner/page-pool.js';
import { Scheduler } from '../../../pipeline/runner/scheduler.js';
import { IssueBoard } from '../../../watch/daemon/issue-board.js';
import { WorkAhead } from '../../../watch/daemon/work-ahead.js';
import { flatPage, openSmallIssue, tiffOf } from '../../helpers/small-issue.js';
import { specWith } from '../../helpers/specs.js';

/** A request of which only counts what it is made from. */
function requestOf(key: string, inode = 1): PageRequest {
  const local = { path: '/p01.tif', seen: { bytes: 9, mtimeMs: 1, ctimeMs: 1, inode } };
  const page = { id: '1', numbers: [1], spec: specWith() };
  return {
    key,
    page,
    files: [{ name: 'p01.tif', bytes: 9, local }],
    products: ['proof'],
  } as unknown as PageRequest;
}

/** A pool that notes what it is asked for and never ends with it. */
function busyPool() {
  const asked: { readonly request: PageRequest; readonly signal: AbortSignal | undefined }[] = [];
  const run: PagePool['run'] = (request, signal) => {
    asked.push({ request: request as PageRequest, signal });
    return new Promise((_, reject) => signal?.addEventListener('abort', () => reject(signal.reason)));
  };
  return { asked, runner: { run } as PagePool };
}

const nobody = () => false;

function openAhead() {
  const { asked, runner } = busyPool();
  return { asked, ahead: new WorkAhead({ runner, scheduler: new Scheduler({ jobs: 2 }) }) };
}

test('a page whose file is likely to be whole is read once, and nothing is made of it', async () => {
  const { asked, ahead } = openAhead();
  for (let look = 0; look < 3; look++) ahead.sync([requestOf('a')], nobody);
  await setImmediate();
  expect(asked.map(({ request }) => [request.key, request.products])).toEqual([['a', []]]);
});

test('a page whose file changes after all is dropped, and read anew', async () => {
  const { asked, ahead } = openAhead();
  ahead.sync([requestOf('a')], nobody);
  await setImmediate();
  ahead.sync([], nobody);
  expect(asked[0].signal?.aborted).toBe(true);
  ahead.sync([requestOf('a', 2)], nobody);
  await vi.waitFor(() => expect(asked).toHaveLength(2));
  ahead.close();
  expect(asked[1].signal?.aborted).toBe(true);
});

test('a page that is worked on by now is left to that work', async () => {
  const { asked, ahead } = openAhead();
  ahead.sync([requestOf('a')], nobody);
  await setImmediate();
  ahead.sync([], (subject) => subject.startsWith('a '));
  expect(asked[0].signal?.aborted).toBe(false);
});

test('a page is planned once, however often somebody looks, until its file or job.yaml changes', async () => {
  const issue = await openSmallIssue();
  try {
    const board = await IssueBoard.open(issue.job, { settleMs: 3_600_000, graceMs: 3_600_000 });
    await issue.drop('p03.tif', await tiffOf(flatPage()));
    board.table.isLikelyWhole = () => true;
    const { ahead } = openAhead();
    const look = async () => {
      await board.look(() => {});
      return ahead.likelyRequests(board);
    };
    const [first, again] = [await look(), await look()];
    expect(first.map(({ page }) => page.id)).toEqual(['3']);
    expect(again[0]).toBe(first[0]);
    board.job = { ...board.job };
    expect((await look())[0]).not.toBe(first[0]);
    const planned = (await look())[0];
    await issue.drop('p03.tif', await tiffOf(flatPage(), 201));
    expect((await look())[0].key).not.toBe(planned.key);
  } finally {
    await issue.remove();
  }
});
