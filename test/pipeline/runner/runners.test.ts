import { afterAll, beforeAll, expect, test } from 'vitest';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { inProcessRunner } from '../../../pipeline/runner/in-process.js';
import { openPagePool } from '../../../pipeline/runner/page-pool.js';
import { describeRunner } from '../../helpers/runner-conformance.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

describeRunner('in this process', inProcessRunner);
describeRunner('in a pool of processes', () => openPagePool(2));

let issue: SmallIssue;
beforeAll(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
});
afterAll(() => issue.remove());

test('whoever asks for a page that is in hand waits for the process that has it', async () => {
  const { runs } = await planIssue(issue.job, { pages: ['1', '2'], products: ['proof'] });
  const [one, other] = runs.flatMap(({ request }) => (request === undefined ? [] : [request]));
  const pool = openPagePool(2);
  const ahead = pool.run({ ...one, products: [] });
  const asked = pool.run({ ...one, products: [] });
  expect(pool.pids()).toHaveLength(1);
  const beside = pool.run({ ...other, products: [] });
  expect(pool.pids()).toHaveLength(2);
  expect(await asked).toEqual(await ahead);
  await beside;
  await pool.close();
});
