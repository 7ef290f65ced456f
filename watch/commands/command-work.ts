import { resolve } from 'node:path';
import { visibleLines } from '../../config/visible-text.js';
import { type ExitCode, type Job, loadJob, type RunOptions, selectPages } from '../../pipeline/index.js';
import { expectLook } from '../../pipeline/store/local-store.js';
import { keepJob } from '../daemon/last-job.js';
import { findLeftovers, removeLeftovers } from '../daemon/leftovers.js';
import { showProgress } from './progress.js';

/** What several commands do alike: open a job for work, hand on options, print an outcome. */

/** Options that every command understands. */
export interface Common {
  readonly json?: true;
}

/** Options of commands that work on pages. */
export interface Work extends Common {
  readonly jobs?: number;
  readonly pages?: string;
}

/** A job about to be worked on: what an interrupted run left unfinished goes first. */
export async function openForWork(folder: string): Promise<Job> {
  const root = resolve(folder);
  await expectLook(root);
  const [leftovers, job] = await Promise.all([findLeftovers(root), loadJob(root)]);
  await removeLeftovers(leftovers);
  await keepJob(job.folder);
  return job;
}

/** Options as a run takes them. */
export function workOptions(job: Job, options: Work): RunOptions {
  return {
    ...(options.pages === undefined ? {} : { pages: selectPages(job, options.pages) }),
    ...(options.jobs === undefined ? {} : { jobs: options.jobs }),
    onEvent: showProgress(process.stderr),
  };
}

/** Prints the outcome of a command, as text or as one JSON object, and sets what the process exits with. */
export function say(
  command: string,
  code: ExitCode,
  json: true | undefined,
  outcome: object,
  text: () => string,
): void {
  process.exitCode = code;
  const out = json ? visibleLines(JSON.stringify({ command, exitCode: code, ...outcome }, null, 2)) : text();
  process.stdout.write(`${out}\n`);
}
