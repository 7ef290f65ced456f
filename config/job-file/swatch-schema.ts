import * as z from 'zod';
import { heading, numberField, textField } from './schema-fields.js';

/** Swatches: the colours of characters and things, as job.yaml writes them. */

/** What holds where a swatch does not say it. Own choice: some 2 to 3 are seen side by side, and two pages never lie so. */
export const swatchDefaults = { toleranceDe: 5 } as const;

/** More than anybody looks through on one sheet. Own choice. */
const mostSwatches = 120;

const hexPattern = /^#?[0-9a-f]{6}$/i;

/** L, a or b of CIE L*a*b*. */
const coordinate = (name: string, min: number, max: number) =>
  numberField({ means: name, min, max, example: 0 });

/** An entry of `swatches`. */
export const swatch = z.strictObject({
  name: textField({
    means: 'What the colour is of: skin, coat, hair',
    expected: 'a name on one line of at most 60 characters',
    max: 60,
    looksLikeNumber: true,
    example: 'coat',
  }),
  character: textField({
    means: 'Whose it is, a character or a thing: swatches of one stand together on the sheet',
    expected: 'a name on one line of at most 60 characters',
    max: 60,
    looksLikeNumber: true,
    default: 'nobody',
    defaultInWords: true,
    example: 'Mara',
  }).optional(),
  srgb: textField({
    means: 'The colour as it is painted',
    expected: 'six hexadecimal digits in quotes, for a # begins a comment: "#c89070"',
    pattern: hexPattern,
    looksLikeNumber: true,
    interplay: 'Either srgb or lab is there',
    example: '#c89070',
  }).optional(),
  lab: z
    .tuple([
      coordinate('Lightness', 0, 100),
      coordinate('a, from green to red', -128, 127),
      coordinate('b, from blue to yellow', -128, 127),
    ])
    .meta(
      heading(
        'three numbers in brackets: L, a, b',
        'The colour as CIE L*a*b* relative to D50, as it was measured, say. Range: L 0 to 100, a and b -128 to 127. Either srgb or lab is there.',
        [64.5, 18.2, 24.6],
      ),
    )
    .optional(),
  toleranceDe: numberField({
    means: 'How far the colour may drift on a light page before it is told',
    unit: 'CIEDE2000',
    min: 0.5,
    max: 30,
    default: swatchDefaults.toleranceDe,
    example: 5,
  }).optional(),
});

/** The list of them. */
export const swatches = z
  .array(swatch)
  .max(mostSwatches)
  .meta(
    heading(
      'a list of colours, each with name and srgb or lab',
      'Colours of characters and things that keep through the issue: shown as they print, in palettes/, and looked for on the pages. ' +
        `At most ${mostSwatches}. Default: none.`,
      [{ name: 'coat', character: 'Mara', srgb: '#c89070' }],
    ),
  );

/** A swatch as it is written. */
export type WrittenSwatch = z.infer<typeof swatch>;
