import { test } from 'vitest';
import { freezeRound } from '../../pipeline/review/freeze-round.js';
import { openMadeIssue } from '../helpers/made-issue.js';
import { pagesHere } from '../helpers/pages-here.js';
import { colourPage, tiffOf } from '../helpers/small-issue.js';
import { compareIssue } from '../../pipeline/review/compare-issue.js';
import { execFileSync } from 'node:child_process';

test('trial', async () => {
  const issue = await openMadeIssue();
  let t = performance.now();
  const one = await freezeRound(issue.job, { runner: pagesHere });
  console.log('freeze', performance.now() - t, one.summary, one.files, one.proofsBytes);
  const page = colourPage();
  for (let y = 100; y < 160; y++) for (let x = 100; x < 200; x++) page.data.set([255, 0, 0], (y * page.width + x) * 3);
  await issue.drop('QRY02_p01_colour_v3.tif', await tiffOf(page));
  t = performance.now();
  const compared = await compareIssue(issue.job, { runner: pagesHere });
  console.log('compare', performance.now() - t, JSON.stringify(compared.pages, null, 1).slice(0, 3000));
  t = performance.now();
  const two = await freezeRound(issue.job, { runner: pagesHere });
  console.log('freeze', performance.now() - t, two.summary);
  execFileSync('rm', ['-rf', '/tmp/w/scratch/rounds-trial']);
  execFileSync('cp', ['-a', issue.folder, '/tmp/w/scratch/rounds-trial']);
  await issue.remove();
}, 120000);
