import { rm } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import { pagesHere } from '../helpers/pages-here.js';
import { checkBoxes, checkLooks, checkSeparations, checkStructure, type Outcome } from './press-checks.js';
import { openPressIssue, pressJobs } from './press-issue.js';
import { missingTools } from './press-tools.js';

/**
 * Holds PDF pages against programs that are not ours: qpdf (structure), poppler (boxes) and Ghostscript (what each plate gets, and what
 * an eye sees). Where one of them is not installed, it says so and checks nothing.
 *
 *   npm run check:press [-- --keep]
 *
 * `--keep` leaves the job folders, and names them.
 */
const { values } = parseArgs({ options: { keep: { type: 'boolean', default: false } } });

const missing = await missingTools();
if (missing.length > 0) {
  console.log(`NOT CHECKED: ${missing.join(', ')} not installed (Debian: ghostscript, qpdf, poppler-utils).`);
  process.exit(0);
}

const outcomes: Outcome[] = [];
for (const job of pressJobs) {
  const issue = await openPressIssue(job);
  const report = await runIssue(issue.job, { runner: pagesHere });
  for (const check of [checkStructure, checkBoxes, checkSeparations, checkLooks]) {
    for (const outcome of await check(issue, report)) {
      outcomes.push(outcome);
      console.log(`${outcome.isRight ? 'right' : 'WRONG'}  ${job.name}  ${outcome.what}`);
    }
  }
  if (values.keep) console.log(`kept: ${issue.folder}`);
  else await rm(issue.folder, { recursive: true });
}
const wrong = outcomes.filter(({ isRight }) => !isRight).length;
console.log(`${outcomes.length} checks, ${wrong} wrong`);
process.exit(wrong === 0 ? 0 : 1);
