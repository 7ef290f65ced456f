import * as z from 'zod';
import { isDay } from '../calendar-day.js';
import { deliveryDefaults } from './delivery-naming.js';
import { extraInks } from './extra-ink-schema.js';
import { jobFileName } from './job-problem.js';
import { mostPages } from './page-list.js';
import {
  assignment,
  deliverySection,
  held,
  kindName,
  pageEntry,
  scene,
  word,
  wordPattern,
} from './page-schema.js';
import { printOverrideSchema, printSchema } from './print-schema.js';
import { choiceField, heading, numberField, textField } from './schema-fields.js';
import { swatches } from './swatch-schema.js';
import { codes, ignoreWords, letters, wordList } from './word-schema.js';

/**
 * The form of job.yaml: the one place that says which keys there are. It gives the types, the checks of shape and the
 * JSON Schema for editors. What depends on several fields is checked in job-rules.ts and spec-rules.ts.
 */

/** ISO 8601 to the minute or second, with the zone that a deadline needs. */
const duePattern = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:\d{2})$/;

/** Whether a text of that form is a date of the calendar and a time of the clock. */
function isRealTime(text: string): boolean {
  if (!duePattern.test(text)) return true;
  const [year, month, day, hour, minute, second] = (text.slice(0, 19).match(/\d+/g) ?? []).map(Number);
  const isTime = hour <= 23 && minute <= 59 && (Number.isNaN(second ?? 0) || (second ?? 0) <= 59);
  return isDay(year, month, day) && isTime && !Number.isNaN(Date.parse(text));
}

const due = z
  .string()
  .trim()
  .refine((text) => !/^\d{4}-\d{2}-\d{2}([T ]\d{2}:\d{2}(:\d{2})?)?$/.test(text), {
    error: 'due has no time with a time zone, so nobody can tell when it is',
    abort: true,
  })
  .regex(duePattern)
  .refine(isRealTime, { error: 'due is not a date of the calendar' })
  .meta({
    ...heading(
      'date, T, time and zone (Z or hours from UTC)',
      'When the delivery is due. ISO 8601 with zone. Default: none.',
      '2026-12-04T17:00:00+01:00',
    ),
    format: 'date-time',
  });

/** The whole file; every scalar arrives as its text (see schema-fields.ts), unknown keys are mistakes. */
export const jobFileSchema = z.strictObject({
  issue: textField({
    means: 'Issue code as file names carry it',
    expected: `a code of ${word}`,
    pattern: wordPattern,
    max: 32,
    looksLikeNumber: true,
    example: 'TDL03',
  }),
  title: textField({
    means: 'Title of the issue, for proofs and the contact sheet',
    expected: 'a title on one line',
    looksLikeNumber: true,
    example: 'The Drowned Lighthouse',
  }),
  number: numberField({
    means: 'Number of the issue',
    min: 0,
    max: 99_999,
    whole: true,
    default: 'none',
    defaultInWords: true,
    example: 3,
  }).optional(),
  due: due.optional(),
  units: choiceField(['in', 'mm'], {
    means: 'The unit of all lengths in this file and in messages: inches or millimetres',
    example: 'in',
  }),
  print: printSchema.meta(
    heading('a section with trim, bleed, safe, press and more', 'What the printer asks for.', {
      bleed: 0.125,
    }),
  ),
  kinds: z
    .record(
      kindName,
      printOverrideSchema.meta(
        heading(
          'a section of print keys, or {}',
          'Print settings for pages of this kind; all but naming.',
          {},
        ),
      ),
    )
    .meta(
      heading(
        'kinds of page, each with print settings',
        'Print settings for a kind of page; all print keys but naming. interior and cover are always known; other kinds are made known here.',
        { cover: { press: 'cgats-tr003' } },
      ),
    )
    .optional(),
  scenes: z
    .array(scene)
    .meta(
      heading('a list of scenes', 'Scenes, in the order of the contact sheet. Default: none.', [
        { id: 'harbour' },
      ]),
    )
    .optional(),
  pages: z
    .array(pageEntry)
    .min(1)
    .max(mostPages)
    .meta(
      heading('a list of pages', 'Every page that the issue owes, in reading order.', [
        { page: 'cover' },
        { pages: '1-5' },
      ]),
    ),
  held: z
    .array(held)
    .meta(
      heading('a list of pages with a reason each', 'Pages held back. Default: none.', [
        { page: 9, reason: 'script rewrite' },
      ]),
    )
    .optional(),
  names: z
    .record(
      textField({
        means: 'A file in incoming/',
        expected: 'a file name',
        max: 1000,
        example: 'final FINAL (3).tif',
      }),
      z
        .union([z.literal('ignore'), assignment])
        .meta(heading('a page in braces, or ignore', 'What this file is.', { page: 7, part: 'colour' })),
    )
    .meta(
      heading(
        'file names, each with what it is',
        'What files are whose names say too little: a page, with part and picture, or ignore. Names are relative to incoming/. Default: none.',
        { 'notes.png': 'ignore' },
      ),
    )
    .optional(),
  parts: z
    .strictObject({ colour: wordList, line: wordList, lettering: wordList, flats: wordList })
    .partial()
    .meta(
      heading(
        'lists of words for colour, line, lettering, flats',
        'Words that tell a part, added to the built-in ones. Default: none.',
        {
          line: ['tusche'],
        },
      ),
    )
    .optional(),
  delivery: deliverySection
    .meta(
      heading(
        'a section with naming, timeZone, files, needs',
        'How deliveries are named and dated, which files go out, and what pages need before.',
        {
          naming: deliveryDefaults.naming,
        },
      ),
    )
    .optional(),
  extraInks: extraInks.optional(),
  swatches: swatches.optional(),
  codes: codes.optional(),
  letters: letters.optional(),
  ignoreWords: ignoreWords.optional(),
});

/** job.yaml as it is written: lengths in the job's unit, ranges not yet expanded, no defaults filled in. */
export type JobFile = z.infer<typeof jobFileSchema>;

/** A JSON Schema as far as this project looks into one; every keyword is optional. */
export interface JsonSchema {
  /** What is expected, in words; error messages show it. */
  readonly title?: string;
  /** Meaning, unit, range and default, as editors show them. */
  readonly description?: string;
  /** Values that would be accepted; error messages show the first. */
  readonly examples?: readonly unknown[];
  /** The keys of a section. */
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  /** What a list holds, or each place of a list of fixed length. */
  readonly items?: JsonSchema | readonly JsonSchema[];
  /** What the values of a section of free keys are. */
  readonly additionalProperties?: JsonSchema | boolean;
  /** What the keys of such a section are. */
  readonly propertyNames?: JsonSchema;
  /** Forms of which one has to fit. */
  readonly anyOf?: readonly JsonSchema[];
  readonly [keyword: string]: unknown;
}

/** The JSON Schema (draft 7, which YAML editors read) of job.yaml. */
export function jobJsonSchema(): JsonSchema {
  const schema = z.toJSONSchema(jobFileSchema, {
    io: 'input',
    target: 'draft-7',
    override: ({ zodSchema, jsonSchema }) => {
      // Fields that are made from text lose their examples and defaults on the way: put them back.
      const facts = z.globalRegistry.get(zodSchema);
      if (facts?.examples !== undefined) jsonSchema.examples = facts.examples as JsonSchema[];
      if (facts?.default !== undefined) jsonSchema.default = facts.default as JsonSchema;
      // Classes of Unicode are not part of every editor's regular expressions, so these patterns stay with the code.
      if (jsonSchema.pattern?.includes('\\p{')) delete jsonSchema.pattern;
    },
  });
  return {
    ...schema,
    title: jobFileName,
    description: 'What platehand is to make of one issue.',
  } as JsonSchema;
}
