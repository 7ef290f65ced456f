import * as z from 'zod';
import { parts } from '../job.js';
import { word, wordPattern } from './page-schema.js';
import { choiceField, heading, textField } from './schema-fields.js';

/** What job.yaml says about words in file names: part words, further codes, letters, words that mean nothing. */

const partWord = textField({
  means: 'A word in file or layer names',
  expected: 'one word of letters and digits that is not just a number',
  // A lookahead keeps page numbers from being taken for words.
  pattern: /^(?!\p{N}+$)[\p{L}\p{M}\p{N}]+$/u,
  max: 32,
  example: 'tusche',
});

/** A list of `parts`. */
export const wordList = z
  .array(partWord)
  .meta(
    heading('a list of words in brackets', 'Words in file and layer names that tell this part.', ['tusche']),
  );

/** Further codes that count as the issue's. */
export const codes = z
  .array(
    textField({
      means: "A code in file names that counts as this issue's",
      expected: `a code of ${word}`,
      pattern: wordPattern,
      max: 32,
      looksLikeNumber: true,
      example: 'QLM03',
    }),
  )
  .meta(
    heading(
      'a list of codes in brackets',
      "Further codes in file names that count as this issue's. A file that bears any other code stays out. Default: none.",
      ['QLM03'],
    ),
  );

/** What letters behind page numbers tell. */
export const letters = z
  .record(
    z
      .string()
      .regex(/^[A-Za-z]$/)
      .meta({ title: 'one letter from a to z' }),
    choiceField([...parts, 'whole'], { means: 'What the letter tells', example: 'colour' }),
  )
  .meta(
    heading(
      'letters, each with the part that it tells',
      'Letters that tell a part where they touch a page number, as in p007c. Default: none, because 7c or 7a is also how a page is called that was put in behind page 7.',
      { c: 'colour', k: 'line' },
    ),
  );

/** Words that mean nothing. */
export const ignoreWords = z
  .array(
    textField({
      means: 'A word in file names that means nothing',
      expected: 'one word or several, not just a number',
      pattern: /^(?![\p{N}\s._-]*$)/u,
      max: 64,
      example: 'moreau',
    }),
  )
  .meta(
    heading(
      'a list of words in brackets',
      "Words in file names that mean nothing in this issue, such as an artist's name. Default: none; a word that nobody has explained keeps a file from being taken for a whole page.",
      ['moreau'],
    ),
  );
