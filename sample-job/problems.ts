import { deliver, IncompleteIssueError, loadJob } from '../pipeline/index.js';
import { showProgress } from '../watch/commands/progress.js';
import { paintFor, runText } from '../watch/commands/report-text.js';
import { drawProblemIssue } from './draw-problems.js';
import { freshFolder, say, secondsSince, setTimes, shortPath } from './sample-run.js';

/** Draws an issue in which much is wrong, tries to deliver it, and shows what is said about it. */
async function main(): Promise<void> {
  const startMs = Date.now();
  const folder = await freshFolder('problems');
  say(`Drawing a few pages with what goes wrong on deadline day into ${shortPath(folder)} ...`);
  await drawProblemIssue(folder);
  await setTimes(folder);
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
