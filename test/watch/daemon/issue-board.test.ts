import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { failureOf } from '../../../pipeline/issue/make-page.js';
import type { PageRun } from '../../../pipeline/issue/page-run.js';
import type { StoredResult } from '../../../pipeline/store/result-store.js';
import { IssueBoard } from '../../../watch/daemon/issue-board.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

/** A file counts as whole at the second look. */
const times = { settleMs: 0, graceMs: 10 };

let issue: SmallIssue;
let board: IssueBoard;
beforeEach(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
  board = await IssueBoard.open(issue.job, times);
  await board.look(() => undefined);
});
afterEach(() => issue.remove());

const runOf = (page: string): PageRun => {
  const run = board.runOf(page);
  if (run === undefined) throw new Error(`no page ${page}`);
  return run;
};

const condition: StoredResult['result']['condition'] = {
  id: 'cgats-tr006',
  title: 'a press condition',
  dataSet: undefined,
  profileSha256: '',
  inks: ['cyan', 'magenta', 'yellow', 'black'],
  inkLimitPercent: 300,
  inkLimitSource: 'a test',
};

/** A result as if it had just been made of a page. */
function resultOf({ page, request }: PageRun, key = request?.key ?? ''): StoredResult {
  const productKeys = { press: '', plates: '', pdf: '', proof: '', thumbnail: '', views: '' };
  const result = {
    page: page.id,
    key,
    productKeys,
    condition,
    used: [],
    findings: [],
    measures: undefined,
    traces: undefined,
    outputs: [],
  };
  return { result, asked: ['proof'], writtenMs: {}, folder: issue.folder };
}

const failure = failureOf('2', new Error('its process died'));

describe('a result that comes in', () => {
  test('replaces the page, and what was handed out before stays as it was', () => {
    const before = runOf('1');
    const stored = resultOf(before);
    const now = board.recordResult('1', stored);
    expect(now).toEqual({ ...before, stored });
    expect(before.stored).toBeUndefined();
    expect(runOf('1')).toBe(now);
    expect(board.runs.find(({ page }) => page.id === '1')).toBe(now);
  });

  test('for what the page was made of before changes nothing', () => {
    const before = runOf('1');
    expect(board.recordResult('1', resultOf(before, 'another key'))).toBeUndefined();
    expect(runOf('1')).toBe(before);
  });

  test('during a look shows on its page once the look is over, whether it was planned before or after', async () => {
    let seen: { page: string; stored: StoredResult }[] = [];
    await board.look(({ page }) => {
      if (seen.length > 0) return;
      // Pages are planned side by side: the first that is told of is planned, every other is not yet.
      const another = page.id === 'cover' ? '3' : 'cover';
      seen = [page.id, another].map((id) => ({ page: id, stored: resultOf(runOf(id)) }));
      for (const { page, stored } of seen) board.recordResult(page, stored);
      // What is told of the pages meanwhile is what the look before saw, with the result where it is still the same page.
      const shown = seen.map((one) => board.runs.find((run) => run.page.id === one.page)?.stored);
      expect(shown).toEqual([undefined, seen[1].stored]);
    });
    expect(seen).toHaveLength(2);
    const after = new Map(board.runs.map((run) => [run.page.id, run.stored]));
    for (const { page, stored } of seen) expect(after.get(page)).toEqual(stored);
  });
});

test('results of all other pages that come in when the first is planned show once the look is over', async () => {
  // How far the others are by then is a matter of luck.
  for (let time = 0; time < 20; time++) {
    board = await IssueBoard.open(issue.job, times);
    await board.look(() => undefined);
    const pages = board.runs.map(({ page }) => page.id);
    const results = new Map(pages.map((page) => [page, resultOf(runOf(page))]));
    let told = 0;
    await board.look(() => {
      if (told++ === 0) for (const [page, stored] of results) board.recordResult(page, stored);
    });
    expect(board.runs.map(({ stored }) => stored)).toEqual([...results.values()]);
  }
});

describe('a failure of the work', () => {
  test('replaces the page, and stays on it as long as the work is the same', async () => {
    const before = runOf('2');
    const now = board.recordFailure('2', before.request?.key ?? '', failure);
    expect([before.failure, now?.failure]).toEqual([undefined, failure]);
    await board.look(() => undefined);
    expect(runOf('2').failure).toEqual(failure);
    expect(board.recordFailure('no such page', 'key', failure)).toBeUndefined();
  });
});
