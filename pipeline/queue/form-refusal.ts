import type * as z from 'zod';
import { exitCode, PlatehandError } from '../../config/errors.js';
import { visible } from '../../config/visible-text.js';
import { plainTrouble } from './plain-json.js';

/** Holding what stands on the queue against a form, and the words in which it is refused. */

/** What a form is about, as people call it. */
export interface FormSubject {
  /** Such as `A page on the queue`. */
  readonly what: string;
  /** The whole of it, such as `the request`. */
  readonly whole: string;
}

/**
 * What JSON gave, as far as every field of it is sound.
 * @throws PlatehandError `queue-refused` that names the first field which is not as it should be
 */
export function heldAgainst<T>(form: z.ZodType<T>, value: unknown, subject: FormSubject): T {
  const trouble = plainTrouble(value);
  if (trouble !== undefined) throw refused(subject, trouble.path, trouble.why);
  const read = form.safeParse(value);
  if (!read.success) throw refusedFor(subject, read.error.issues[0]);
  return read.data;
}

/** What zod complains about, in a few words that follow the field's name. */
const complaints: Readonly<Record<string, string>> = {
  invalid_type: 'is missing or of another kind',
  too_big: 'is too large',
  too_small: 'is too small',
  unrecognized_keys: 'is not known here',
};

function refusedFor(subject: FormSubject, issue: z.core.$ZodIssue): PlatehandError {
  const path = issue.code === 'unrecognized_keys' ? [...issue.path, issue.keys[0]] : issue.path;
  const own = issue.code === 'custom' && issue.message !== 'Invalid input' ? issue.message : undefined;
  return refused(subject, path, own ?? complaints[issue.code] ?? 'is not as it should be');
}

/** Enough of a field's name, which may be anybody's. */
const longestField = 100;

function refused({ what, whole }: FormSubject, path: readonly PropertyKey[], why: string): PlatehandError {
  const field = path.length === 0 ? whole : visible(path.map(String).join('.').slice(0, longestField));
  return new PlatehandError(
    'queue-refused',
    `${what} is not worked on: ${field} ${why}`,
    'Use one version of platehand on all machines, and let nobody else write to the queue.',
    { exitCode: exitCode.attention },
  );
}
