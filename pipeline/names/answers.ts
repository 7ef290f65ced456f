import type { FilePart } from '../../config/job.js';

/** Questions about names, how they are answered, and words that answers are told in. */

/** One question about a name, such as which page it is: answered with the rule that decided, doubtful, or not asked. */
export type Answer<T> =
  | { readonly kind: 'certain'; readonly value: T; readonly rule: string }
  | {
      readonly kind: 'doubtful';
      readonly rule: string;
      /** Pages that it may be. */
      readonly maybe: readonly string[];
      readonly advice: string;
      /** Parts that it may be, where the part is the doubt. */
      readonly parts?: readonly FilePart[];
    }
  | { readonly kind: 'silent' };

/** What to do about a name that tells no page. */
export const rename = 'Rename it so that it tells one page, such as p07';

/** An answer that settles nothing: why, which pages it may be, and what to do about the file. */
export const doubtful = (rule: string, maybe: readonly string[] = [], advice = rename) =>
  ({ kind: 'doubtful', rule, maybe, advice }) as const;

/** A longer word is cut in messages. */
const longestQuote = 40;

/** Words of a name as a sentence lists them. */
export const quoted = (texts: Iterable<string>): string =>
  [...texts]
    .map((text) => `"${text.length > longestQuote ? `${text.slice(0, longestQuote)}...` : text}"`)
    .join(' and ');

const listWith =
  (last: 'and' | 'or') =>
  (texts: readonly string[]): string =>
    texts.length < 2 ? texts.join('') : `${texts.slice(0, -1).join(', ')} ${last} ${texts[texts.length - 1]}`;

/** Choices as a sentence lists them. */
export const orList = listWith('or');

/** Words as a sentence lists them. */
export const andList = listWith('and');
