import { PlatehandError } from '../errors.js';
import { clashKey } from '../portable-name.js';
import { visible } from '../visible-text.js';

/** Name of the job file in its folder, and in messages about it. */
export const jobFileName = 'job.yaml';

/** A place in the job file: keys and list positions (counted from 0) from the top. */
export type JobPath = readonly (string | number)[];

/** One mistake in a job file, with all that is needed to put it right. */
export interface JobProblem {
  /** Line in job.yaml, counted from 1. */
  readonly line: number;
  /** Column in that line, counted from 1. */
  readonly column: number;
  /** The field as people write it: `print.bleed`, `pages[2].scene`; empty for the file as a whole. */
  readonly path: string;
  /** What is wrong, one sentence without a final full stop. */
  readonly message: string;
  /** What would be right. */
  readonly expected: string;
  /** A line that would be accepted, for instance `bleed: 0.125`; empty where none helps. */
  readonly example: string;
}

/** A mistake before its line is looked up. */
export interface FoundProblem {
  /** Where it is in the job file; the nearest step that exists is shown. */
  readonly at: JobPath;
  /** Whether the key or the value there is meant. */
  readonly on: 'key' | 'value';
  /** What is wrong, one sentence without a final full stop. */
  readonly message: string;
  /** What would be right. */
  readonly expected: string;
  /** A line that would be accepted; empty where none helps. */
  readonly example: string;
}

/** A value that cannot stay as it is. */
export function wrongValue(at: JobPath, message: string, expected: string, example: string): FoundProblem {
  return { at, on: 'value', message, expected, example };
}

/** More than these are counted in the message, not listed; `problems` always holds them all. */
const listedAtMost = 100;

/** A job.yaml that cannot be followed; its message lists the problems, one a line. */
export class JobInvalidError extends PlatehandError {
  /** Every mistake, in the order of the file; at least one. */
  readonly problems: readonly JobProblem[];

  /** @param problems every mistake that was found, in the order of the file */
  constructor(problems: readonly JobProblem[]) {
    const count = problems.length === 1 ? 'one mistake' : `${problems.length} mistakes`;
    super(
      'job-invalid',
      `${jobFileName} has ${count}`,
      'Correct the lines named and run the command again.',
      {
        place: { file: jobFileName, ...firstPlace(problems) },
      },
    );
    this.name = 'JobInvalidError';
    this.problems = problems;
    const lines = problems.slice(0, listedAtMost).map(problemLine);
    if (problems.length > listedAtMost) lines.push(`... and ${problems.length - listedAtMost} more.`);
    this.message = lines.map(visible).join('\n');
  }
}

function firstPlace(problems: readonly JobProblem[]): { line?: number; column?: number } {
  const first = problems.at(0);
  return first === undefined ? {} : { line: first.line, column: first.column };
}

/** `job.yaml:12:5: what. Expected ...; for example: ...` */
function problemLine(problem: JobProblem): string {
  const example = problem.example === '' ? '' : `; for example: ${problem.example}`;
  const place = `${jobFileName}:${problem.line}:${problem.column}`;
  return `${place}: ${problem.message}. Expected ${problem.expected}${example}`;
}

/** A path as people write it: `pages[2].scene`, `names["final (3).tif"].page`. List positions count from 0. */
export function pathText(path: JobPath): string {
  let text = '';
  for (const step of path) {
    if (typeof step === 'number') text += `[${step}]`;
    else if (!/^[\p{L}\p{N}_-]+$/u.test(step)) text += `[${JSON.stringify(step)}]`;
    else text += text === '' ? step : `.${step}`;
  }
  return text;
}

/** ` (did you mean "x"?)` where one of the words is close to what was written; empty otherwise. */
export function didYouMean(written: string, words: Iterable<string>): string {
  const close = closest(written, words);
  return close === undefined ? '' : ` (did you mean "${close}"?)`;
}

/** The word nearest to what was written: at most two slips of the finger, or a third of a long word. */
export function closest(written: string, words: Iterable<string>): string | undefined {
  const wanted = clashKey(written).slice(0, 64);
  let best: string | undefined;
  let bestSlips = Math.max(2, Math.floor(wanted.length / 3)) + 1;
  for (const word of words) {
    const slips = slipsBetween(wanted, clashKey(word));
    if (slips < bestSlips && slips < Math.max(wanted.length, word.length) * 0.6) {
      best = word;
      bestSlips = slips;
    }
  }
  return best;
}

/** Levenshtein's distance: insertions, deletions and changes of one character that lead from one word to the other. */
function slipsBetween(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, index) => index);
  for (let i = 1; i <= from.length; i++) {
    const next = [i];
    for (let j = 1; j <= to.length; j++) {
      const change = row[j - 1] + (from[i - 1] === to[j - 1] ? 0 : 1);
      next.push(Math.min(change, row[j] + 1, next[j - 1] + 1));
    }
    row = next;
  }
  return row[to.length];
}
