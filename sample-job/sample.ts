import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { packageRoot } from '../config/package-root.js';
import { deliver, IncompleteIssueError, loadJob, runIssue, verifyBag } from '../pipeline/index.js';
import { deliveryText } from '../watch/commands/delivery-text.js';
import { showProgress } from '../watch/commands/progress.js';
import { paintFor, runText } from '../watch/commands/report-text.js';
import { comparisonText, roundText } from '../watch/commands/round-text.js';
import { drawSampleIssue } from './draw-issue.js';
import { drawProblemIssue, pageOnceMore } from './draw-problems.js';
import { reviewTwice } from './review.js';
import { freshFolder, sampleDay, say, secondsSince, shortPath } from './sample-run.js';

/** `--out <folder>` draws there instead of below sample-output/; `--problems` draws the issue in which much is wrong. */
async function main(): Promise<void> {
  const { values } = parseArgs({
    options: { out: { type: 'string' }, problems: { type: 'boolean', default: false } },
  });
  const { problems } = values;
  const out = values.out ?? join(packageRoot(), 'sample-output', problems ? 'problems' : 'issue');
  await (problems ? tryProblems : deliverSample)(await freshFolder(out));
}

/** Draws the sample issue, takes it through two review rounds, delivers it, verifies the bundle, and says where to look. */
async function deliverSample(folder: string): Promise<void> {
  const startMs = Date.now();
  const paint = paintFor(process.stdout);
  say(`Drawing the pages of an invented issue into ${shortPath(folder)} (600 ppi, takes a while) ...`);
  await drawSampleIssue(folder, { onPage: (page) => say(`  drew ${page}`) });
  say(
    `Drawn in ${secondsSince(startMs)}. Now the editor's rounds: platehand round ${shortPath(folder)}, twice`,
  );
  const runMs = Date.now();
  const onEvent = showProgress(process.stderr);
  const { rounds, comparison } = await reviewTwice(folder, onEvent);
  for (const round of rounds) say(`${roundText(round, paint)}\n`);
  say(`What has changed: platehand compare ${shortPath(folder)} --round 1`);
  say(comparisonText(comparison, paint));
  say();
  say(`Now the delivery: platehand deliver ${shortPath(folder)}`);
  const delivery = await deliver(await loadJob(folder), { date: sampleDay, onEvent });
  say(runText(delivery.report, paint));
  say();
  say(deliveryText(delivery, paint));
  const { ok } = await verifyBag(join(folder, delivery.path));
  if (!ok) throw new Error('the bundle does not verify');
  say(`Reviewed, run and delivered in ${secondsSince(runMs)}, ${secondsSince(startMs)} in all.`);
  say();
  say('Where to look:');
  for (const [path, what] of [
    ['proofs/contact-sheet.png', 'all pages in reading order'],
    ['palettes/colour-script.png', "the story's colour, scene by scene"],
    ['report/report.html', 'what was found on every page, and where: open it in a browser'],
    ['palettes/swatches_cgats-tr006.png', 'the colours of a character, screen beside print'],
    ['rounds/2', 'a review round: proofs to mail, contact sheet, forms for notes'],
    ['rounds/changes', 'what changed since round 1, before beside after'],
    ['proofs', 'a soft proof of every page'],
    ['press', 'composite CMYK TIFFs, and the line art at 600 ppi'],
    ['plates', 'the four process inks of every page'],
    [delivery.path, 'the bundle; check it with: node dist/programs/platehand.cjs verify'],
  ]) {
    say(`  ${shortPath(join(folder, path)).padEnd(44)} ${what}`);
  }
}

/** Draws an issue in which much is wrong, tries to deliver it, and shows what is said about it. */
async function tryProblems(folder: string): Promise<void> {
  const startMs = Date.now();
  say(`Drawing a few pages with what goes wrong on deadline day into ${shortPath(folder)} ...`);
  await drawProblemIssue(folder);
  // What a new version has changed is told by the one before.
  await runIssue(await loadJob(folder), { pages: ['18'] });
  await pageOnceMore(join(folder, 'incoming'), 2);
  say(`platehand deliver ${shortPath(folder)}`);
  try {
    await deliver(await loadJob(folder), { onEvent: showProgress(process.stderr) });
  } catch (thrown) {
    if (!(thrown instanceof IncompleteIssueError)) throw thrown;
    say(runText(thrown.report, paintFor(process.stdout)));
    say();
    say(thrown.message);
    say();
    say(
      `Refused, as it should be (exit code ${thrown.exitCode} on the command line). Took ${secondsSince(startMs)}.`,
    );
    return;
  }
  throw new Error('an issue full of problems was delivered');
}

await main();
