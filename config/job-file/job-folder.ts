import { mkdir, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { messageOf, PlatehandError } from '../errors.js';
import { parseJob } from '../load-job.js';
import { JobInvalidError, jobFileName } from './job-problem.js';
import { jobTemplate, type NewJob } from './job-template.js';

/** Folders of a job beside job.yaml: what arrives, and what is made of it. */
export const jobFolders = ['incoming', 'press', 'plates', 'pdf', 'proofs', 'report', 'delivery'] as const;

/**
 * Makes a job folder: job.yaml with its comments, and the folders beside it. What is in the folder already stays.
 *
 * @param folder where to make it, absolute or relative to the working folder; made if it is not there
 * @param job what is known of the issue; default placeholders
 * @returns the absolute path of the new job.yaml
 * @throws PlatehandError `folder-not-empty` when there is a job.yaml, `wrong-use` when issue, title or pages cannot be
 *   used, `write-failed` when the disk refuses
 */
export async function createJobFolder(folder: string, job: NewJob = {}): Promise<string> {
  const path = join(resolve(folder), jobFileName);
  const text = checkedTemplate(job, folder);
  try {
    await mkdir(resolve(folder), { recursive: true }).catch(async (thrown: unknown) => {
      // Asked for all folders above it as well, a read-only disk answers that they are not there.
      await mkdir(resolve(folder));
      throw thrown;
    });
    await writeFile(path, text, { flag: 'wx' });
    for (const name of jobFolders) await mkdir(join(folder, name), { recursive: true });
  } catch (cause) {
    if (isExisting(cause, path)) {
      const remedy = 'Edit the one that is there, or name another folder.';
      throw new PlatehandError('folder-not-empty', `There is a ${jobFileName} in ${folder} already`, remedy, {
        cause,
      });
    }
    const remedy = 'Check that the disk is there, has room, and lets you write.';
    throw new PlatehandError(
      'write-failed',
      `${folder} cannot be made a job folder: ${messageOf(cause)}`,
      remedy,
      { cause },
    );
  }
  return path;
}

function isExisting(thrown: unknown, path: string): boolean {
  return (
    thrown instanceof Error &&
    'code' in thrown &&
    thrown.code === 'EEXIST' &&
    'path' in thrown &&
    thrown.path === path
  );
}

/** The template, once a job can be read from it. */
function checkedTemplate(job: NewJob, folder: string): string {
  const { pages } = job;
  if (pages !== undefined && (!Number.isInteger(pages) || pages < 1)) {
    throw new PlatehandError('wrong-use', `${pages} is no number of pages`, 'Give a whole number from 1 on.');
  }
  const text = jobTemplate(job);
  try {
    parseJob(text, folder);
  } catch (cause) {
    if (!(cause instanceof JobInvalidError)) throw cause;
    const said = cause.problems
      .map((problem) => `${problem.message}; expected ${problem.expected}`)
      .join('; ');
    throw new PlatehandError(
      'wrong-use',
      `No job can be made of this: ${said}`,
      'Correct it and try again.',
      { cause },
    );
  }
  return text;
}
