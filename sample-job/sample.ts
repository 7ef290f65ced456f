import { join } from 'node:path';
import { deliver, loadJob, verifyBag } from '../pipeline/index.js';
import { showProgress } from '../watch/commands/progress.js';
import { deliveryText, paintFor, runText } from '../watch/commands/report-text.js';
import { drawSampleIssue } from './draw-issue.js';
import { freshFolder, say, secondsSince, setTimes, shortPath } from './sample-run.js';

/** Draws the sample issue, runs it, delivers it, verifies the bundle, and says where to look. */
async function main(): Promise<void> {
  const startMs = Date.now();
  const paint = paintFor(process.stdout);
  const folder = await freshFolder('issue');
  say(`Drawing the pages of an invented issue into ${shortPath(folder)} (600 ppi, takes a while) ...`);
  await drawSampleIssue(folder, { onPage: (page) => say(`  drew ${page}`) });
  await setTimes(folder);
  say(`Drawn in ${secondsSince(startMs)}. Now the job itself: platehand deliver ${shortPath(folder)}`);
  const runMs = Date.now();
  const delivery = await deliver(await loadJob(folder), { onEvent: showProgress(process.stderr) });
  say(runText(delivery.report, paint));
  say();
  say(deliveryText(delivery, paint));
  const { ok } = await verifyBag(join(folder, delivery.path));
  if (!ok) throw new Error('the bundle does not verify');
  say(`Run and delivered in ${secondsSince(runMs)}, ${secondsSince(startMs)} in all.`);
  say();
  say('Where to look:');
  for (const [path, what] of [
    ['proofs/contact-sheet.png', 'all pages in reading order'],
    ['proofs', 'a soft proof of every page'],
    ['press', 'composite CMYK TIFFs, and the line art at 600 ppi'],
    ['plates', 'the four process inks of every page'],
    [delivery.path, 'the bundle; check it with: node dist/programs/platehand.cjs verify'],
  ]) {
    say(`  ${shortPath(join(folder, path)).padEnd(44)} ${what}`);
  }
}

await main();
