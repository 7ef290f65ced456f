import { JobInvalidError, type JobProblem } from '../../config/job-file/job-problem.js';
import { parseJob } from '../../config/load-job.js';

/** What a test changes in a small sound job: settings for print, whole lines, or the page list. */
export interface JobChanges {
  readonly issue?: string;
  /** In place of `units: in` and lengths that fit it. */
  readonly units?: string;
  /** More keys of the print section, one a line. */
  readonly print?: string;
  /** More sections. */
  readonly more?: string;
  readonly pages?: string;
}

/** The text of a small job that is sound but for the changes. */
export function jobText(changes: JobChanges = {}): string {
  const print = ['trim: [6.625, 10.25]', 'bleed: 0.125', 'safe: 0.25', 'press: cgats-tr006'];
  const own = changes.print?.split('\n') ?? [];
  const keyOf = (line: string) => line.split(':')[0];
  const kept = print.filter((line) => !own.some((other) => keyOf(other) === keyOf(line)));
  return [
    `issue: ${changes.issue ?? 'TDL03'}`,
    'title: The Drowned Lighthouse',
    `units: ${changes.units ?? 'in'}`,
    'print:',
    ...[...kept, ...own].map((line) => `  ${line}`),
    `pages: ${changes.pages ?? '[{page: cover}, {pages: 1-3}, {spread: 4-5}]'}`,
    changes.more ?? '',
  ].join('\n');
}

/** The problems of a job text; none for a sound one. */
export function foundIn(text: string): readonly JobProblem[] {
  try {
    parseJob(text, '/jobs/tdl03');
    return [];
  } catch (thrown) {
    if (thrown instanceof JobInvalidError) return thrown.problems;
    throw thrown;
  }
}

/** The same, as messages alone. */
export function problemsOf(text: string): string[] {
  return foundIn(text).map((problem) => problem.message);
}
