import * as z from 'zod';

/**
 * Builders for the fields of job.yaml. Every scalar arrives as the text that stands in the file, so that `001` and `1e3`
 * stay what they are; numbers and switches are made from that text here. A field's description and its short
 * `title` (what is expected, also shown in error messages) are composed from the very figures that it checks.
 */

/** What a field is about, in the order in which it is told: meaning, unit, range, default, interplay. */
export interface About {
  /** Meaning, one sentence without a final full stop. */
  readonly means: string;
  /** Unit of a number, in words; default none. */
  readonly unit?: string;
  /** What holds where the field is not there; not given where there is none or the field is required. */
  readonly default?: string | number | boolean;
  /** Whether `default` is a phrase, not a value; default false. */
  readonly defaultInWords?: boolean;
  /** How it goes together with other fields, one sentence without a final full stop; default nothing. */
  readonly interplay?: string;
  /** A value that would be accepted; error messages show it. */
  readonly example: unknown;
}

/** Composes the description that editors show. */
function describe(about: About, range?: string): string {
  const told = [`${about.means}.`];
  if (about.unit !== undefined) told.push(`Unit: ${about.unit}.`);
  if (range !== undefined) told.push(`Range: ${range}.`);
  if (about.default !== undefined) told.push(`Default: ${about.default}.`);
  if (about.interplay !== undefined) told.push(`${about.interplay}.`);
  return told.join(' ');
}

/** Title, description, default and example as JSON Schema carries them; a default that is told in words is left to the description. */
function meta(about: About, expected: string, range?: string) {
  const facts = { title: expected, description: describe(about, range), examples: [about.example] };
  return about.defaultInWords || about.default === undefined ? facts : { ...facts, default: about.default };
}

/** Plain decimals only: no exponent, no comma, no underscore. */
const decimalPattern = /^[-+]?(\d+\.?\d*|\.\d+)$/;

function toNumber(value: unknown): unknown {
  return typeof value === 'string' && decimalPattern.test(value) ? Number(value) : value;
}

function toBoolean(value: unknown): unknown {
  if (value === 'true' || value === 'True' || value === 'TRUE') return true;
  if (value === 'false' || value === 'False' || value === 'FALSE') return false;
  return value;
}

/**
 * A number within a range.
 * @param about `min` and `max` are both included (default no maximum), `whole` asks for a whole number (default any),
 *   `noun` is what messages call it (default `a number`)
 */
export function numberField(about: About & { min: number; max?: number; whole?: boolean; noun?: string }) {
  const range = about.max === undefined ? `${about.min} or more` : `${about.min} to ${about.max}`;
  const noun = about.noun ?? (about.whole ? 'a whole number' : 'a number');
  const expected = about.max === undefined ? `${noun}, ${range}` : `${noun} from ${range}`;
  let number = about.whole ? z.number().int().min(about.min) : z.number().min(about.min);
  if (about.max !== undefined) number = number.max(about.max);
  return z.preprocess(toNumber, number.meta(meta(about, expected, range)));
}

/** `true` or `false`. */
export function switchField(about: About) {
  return z.preprocess(toBoolean, z.boolean().meta(meta(about, 'true or false')));
}

/**
 * One word of a list.
 * @param words what may be chosen, one at least
 */
export function choiceField<const Words extends readonly [string, ...string[]]>(words: Words, about: About) {
  return z.enum(words).meta(meta(about, `one of ${words.join(', ')}`, `one of ${words.join(', ')}`));
}

/**
 * Text on one line, put into Unicode's composed form and trimmed.
 * @param about `expected` says in words what is right, `pattern` what is accepted (default anything without control
 *   characters), `max` the most characters (default 200); `looksLikeNumber` lets editors accept an unquoted number
 */
export function textField(
  about: About & { expected: string; pattern?: RegExp; max?: number; looksLikeNumber?: boolean },
) {
  const text = z
    .string()
    .normalize('NFC')
    .trim()
    .min(1)
    .max(about.max ?? 200)
    .regex(about.pattern ?? /^[^\p{Cc}]+$/u);
  const facts = meta(about, about.expected);
  return text.meta(about.looksLikeNumber ? { ...facts, type: ['string', 'integer', 'number'] } : facts);
}

/** A section or list: only its heading, for editors and error messages. */
export function heading(expected: string, description: string, example: unknown) {
  return { title: expected, description, examples: [example] };
}
