import * as z from 'zod';
import { heading, numberField, switchField, textField } from './schema-fields.js';
import { wordList } from './word-schema.js';

/** Inks beside the process inks, as job.yaml writes them. */

/** What holds where an extra ink does not say it. Our own choice: inks that are laid over a finished page overprint. */
export const extraInkDefaults = { bits: 8, overprints: true, inTotal: true } as const;

/** More than a press has units. Common practice, no published source. */
export const mostInks = 8;

const amount = (name: string) =>
  numberField({ means: name, unit: 'percent', min: 0, max: 100, example: 0, default: 0 });

/** An entry of `extraInks`. */
export const extraInk = z.strictObject({
  id: textField({
    means:
      'Id of the ink: in job.yaml, in names of plates, and the word in file names where `words` gives none',
    expected: 'up to 24 lower case letters and digits, first a letter',
    pattern: /^[a-z][a-z0-9]{0,23}$/,
    example: 'varnish',
  }),
  words: wordList
    .min(1)
    .meta(
      heading(
        'a list of words in brackets',
        'Words in file names that tell a file to be the plate of this ink. Default: the id.',
        ['varnish', 'gloss'],
      ),
    )
    .optional(),
  name: textField({
    means: 'The ink as the printer calls it; it names the separation in PDFs',
    default: 'the id',
    defaultInWords: true,
    expected: 'a name on one line that is no process ink',
    max: 60,
    looksLikeNumber: true,
    example: 'Gloss Varnish',
  }).optional(),
  shownAs: z
    .tuple([amount('Cyan'), amount('Magenta'), amount('Yellow'), amount('Black')])
    .meta(
      heading(
        'four percentages in brackets: cyan, magenta, yellow, black',
        'What stands for the ink on proofs, and where a machine has no plate for it. Unit: percent. Range: 0 to 100 each.',
        [0, 20, 60, 20],
      ),
    ),
  bits: numberField({
    means:
      'Bits of its plate: 8 at the resolution of the colour, or 1, full ink or none, at that of the line plate',
    min: 1,
    max: 8,
    whole: true,
    noun: 'either 1 or 8, a number',
    default: extraInkDefaults.bits,
    example: 8,
  })
    .refine((bits) => bits === 1 || bits === 8, { error: 'bits are neither 1 nor 8' })
    .optional(),
  overprints: switchField({
    means: 'Whether it prints over what is beneath it; otherwise process inks and line are cleared there',
    default: extraInkDefaults.overprints,
    example: true,
  }).optional(),
  inTotal: switchField({
    means: 'Whether the ink limit counts it; a page with more ink asks for a look, nothing is lowered for it',
    default: extraInkDefaults.inTotal,
    example: true,
  }).optional(),
});

/** The list of them. */
export const extraInks = z
  .array(extraInk)
  .max(mostInks)
  .meta(
    heading(
      'a list of inks, each with id and shownAs',
      'Inks beside the process inks, such as a varnish, a metallic or a fifth colour. A page has one where a file with its ' +
        'word is there: a grey picture of its plate, black full ink, or transparent where there is none. ' +
        `At most ${mostInks}. Default: none.`,
      [{ id: 'varnish', shownAs: [0, 0, 0, 10] }],
    ),
  );
