import { mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { IncompleteIssueError } from '../../../pipeline/bag/refusals.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import type { PageReport } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { readStatus } from '../../../pipeline/issue/status.js';
import { productNames } from '../../../pipeline/model/page-result.js';
import { notesLines } from '../../../watch/commands/notes-text.js';
import { pagesHere } from '../../helpers/pages-here.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  openSmallIssue,
  type SmallIssue,
  smallHead,
  tiffOf,
} from '../../helpers/small-issue.js';

const jobYaml = `${smallHead}pages:\n  - page: 1\ndelivery: { needs: accepted }\n`;

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue(jobYaml);
  await issue.drop('QRY02_p1_colour_v1.tif', await tiffOf(colourPage()));
  await issue.drop('QRY02_p1_inks_v1.tif', await inksTiffOf(inksPage()));
});
afterEach(() => issue.remove());

const run = () => runIssue(issue.job, { runner: pagesHere });

/** Freezes what the page is made of now, as a round does last. @returns the page */
async function freeze(round: number): Promise<PageReport> {
  const { pages } = await run();
  const frozen = pages.map(({ page, state, used }) => ({ page, state, used, files: [], change: 'new' }));
  const record = {
    format: 'platehand round 1',
    issue: 'QRY02',
    round,
    frozenAt: '2026-11-28T22:00:00Z',
    pages: frozen,
  };
  await mkdir(join(issue.folder, 'rounds', String(round)), { recursive: true });
  await writeFile(join(issue.folder, 'rounds', String(round), 'round.json'), JSON.stringify(record));
  return pages[0];
}

const write = (path: string, rows: string) =>
  writeFile(join(issue.folder, 'rounds', path), `page,verdict,note,grid,closed\n${rows}`);

async function refusal(): Promise<string> {
  const thrown = await deliver(issue.job, { runner: pagesHere, date: '2026-11-28' }).catch(
    (each: unknown) => each,
  );
  expect(thrown).toBeInstanceOf(IncompleteIssueError);
  return thrown instanceof IncompleteIssueError ? thrown.message : '';
}

test('a note goes to the proof alone, is answered by a new version, and keeps the delivery until it is closed', async () => {
  const before = await freeze(1);
  await write('1/notes-mara.csv', '1,change,The bell is too dark,B2,\n9,,lost,,\n');
  const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
  expect(runs[0].request?.products).toEqual(['proof']);
  const noted = (await run()).pages[0];
  const sums = ({ outputs }: typeof noted, isProof: boolean) =>
    outputs
      .filter(({ product }) => (product === 'proof') === isProof)
      .map(({ role, sha256 }) => `${role} ${sha256}`);
  expect(sums(noted, false)).toEqual(sums(before, false));
  expect(sums(noted, true)).not.toEqual(sums(before, true));
  expect(noted.notes).toMatchObject([{ name: 'r1-1-mara', number: 1, state: 'open', cell: 'B2' }]);

  const status = await readStatus(issue.job);
  expect(status.editors).toEqual({ open: 1, answered: 0, closed: 0, accepted: 0 });
  expect(notesLines(status, (_colour, text) => text)).toEqual([
    '',
    'Editors: 1 note open, 0 answered, 0 closed; 0 of 1 page accepted.',
    '  page 1: round 1 asks for a change',
    '    r1-1-mara  open      B2   The bell is too dark',
    '',
    '1 mistake in notes; everything else in them counts:',
    '  rounds/1/notes-mara.csv:3:1: there is no page "9" in the page list; it says "lost". Name the page as the proof does.',
  ]);
  const said = await refusal();
  expect(said).toContain(
    'page 1 is done: not accepted (round 1 asks for a change); notes to close: r1-1-mara (open)',
  );
  expect(said).toContain('rounds/1/notes-mara.csv:3:1: there is no page "9"');

  await write('1/notes-mara.csv', '1,change,The bell is too dark,B2,\n');
  await rm(join(issue.folder, 'incoming', 'QRY02_p1_colour_v1.tif'));
  await issue.drop('QRY02_p1_colour_v2.tif', await tiffOf(colourPage(40)));
  expect((await freeze(2)).notes[0].state).toBe('answered');
  await write('2/notes.csv', '1,accepted,,,\n');
  const { report, isNew } = await deliver(issue.job, { runner: pagesHere, date: '2026-11-28' });
  expect(isNew).toBe(true);
  expect(report.pages[0]).toMatchObject({
    acceptance: { state: 'accepted', round: 2 },
    notes: [{ state: 'closed', closedBy: 'closed as the page was accepted in round 2' }],
  });
  // Notes and verdicts ask for nothing where the job does not say so.
  await rm(join(issue.folder, 'rounds', '2'), { recursive: true });
  const free = parseJob(jobYaml.replace('needs: accepted', 'needs: nothing'), issue.folder);
  expect((await readStatus(free)).blocking.filter(({ state }) => state !== 'ready')).toEqual([]);
});
