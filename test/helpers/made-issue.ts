import { execFile } from 'node:child_process';
import { rmSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { parseJob } from '../../config/load-job.js';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import { pagesHere } from './pages-here.js';
import { dropAll, dropInto, openSmallIssue, type SmallIssue, smallJob } from './small-issue.js';

/** The small issue after a whole run, made once a process: for tests of what happens then. */
let made: Promise<string> | undefined;

async function make(): Promise<string> {
  const issue = await openSmallIssue();
  process.once('exit', () => rmSync(issue.folder, { recursive: true, force: true }));
  await dropAll(issue);
  await runIssue(issue.job, { runner: pagesHere });
  return issue.folder;
}

/**
 * A copy of the small issue as a run of all its pages leaves it, for whoever asks alone. Copied with times to the nanosecond and with the
 * names that files share, as people move a job folder to another disk: a run finds nothing to do.
 */
export async function openMadeIssue(): Promise<SmallIssue> {
  made ??= make();
  const folder = await mkdtemp(join(tmpdir(), 'made-issue-'));
  await promisify(execFile)('cp', ['-a', `${await made}/.`, folder]);
  return {
    job: parseJob(smallJob, folder),
    folder,
    drop: (name, bytes) => dropInto(folder, name, bytes),
    remove: () => rm(folder, { recursive: true, force: true }),
  };
}
