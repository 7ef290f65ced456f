import * as z from 'zod';
import type { CheckLimit } from '../check-limits/check-limit.js';
import { type CheckLimitName, limitRows } from '../check-limits/index.js';
import { processInkNames } from '../print-spec.js';
import { printDefaults, printLimitsMm } from './print-defaults.js';
import { choiceField, heading, numberField, switchField } from './schema-fields.js';

/** The forms of the sections within `print` of job.yaml. */

/** Which process inks print: black alone, or all of them in any order. */
export const inks = z
  .array(choiceField(processInkNames, { means: 'A process ink', example: 'black' }))
  .refine((names) => names.join() === 'black' || isAll(names), {
    error: 'inks are neither black alone nor all four',
  })
  .meta({
    ...heading(
      `[black], or [${processInkNames.join(', ')}]`,
      'The process inks that pages print in: [black] for interiors in black alone, most useful in a kind. Such pages get a black plate ' +
        `and nothing else, as light as they were painted. Default: ${processInkNames.join(', ')}.` +
        ' There is no support ink beneath black alone, and the ink limit is 100.',
      ['black'],
    ),
    default: printDefaults.inks,
  });

function isAll(names: readonly string[]): boolean {
  return names.length === processInkNames.length && processInkNames.every((name) => names.includes(name));
}

/** How black line art is told from colour. */
export const line = z.strictObject({
  threshold: numberField({
    means: 'Ink coverage from which a pixel of line art is ink; below it is paper',
    unit: 'percent',
    min: 1,
    max: 99,
    default: printDefaults.line.threshold,
    example: 50,
  }),
  blackLevel: numberField({
    means:
      'A line pixel is still black only while the flattened page is no brighter than this in any channel',
    unit: 'percent of full brightness',
    min: 0,
    max: 100,
    default: printDefaults.line.blackLevel,
    interplay: 'A brighter one is a hold and goes to the colour plates; so does one beyond blackChroma',
    example: 24,
  }),
  blackChroma: numberField({
    means: 'How far the channels of a line pixel may differ before it counts as coloured',
    unit: 'percent of full brightness',
    min: 0,
    max: 100,
    default: printDefaults.line.blackChroma,
    interplay: 'Works together with blackLevel',
    example: 10,
  }),
  lift: switchField({
    means: 'Whether ink is lifted onto the line plate from a page that is one flat picture; paint never is',
    default: printDefaults.line.lift,
    interplay: 'How bright and how coloured ink may be there is told by liftLevel and blackChroma',
    example: true,
  }),
  liftLevel: numberField({
    means:
      'On a flat picture, ink is at most this bright in every channel, the noise of JPEG and scans aside',
    unit: 'percent of full brightness',
    min: 0,
    max: 100,
    default: printDefaults.line.liftLevel,
    interplay: 'Counts only where lift is true',
    example: 15,
  }),
});

const tint = (name: string, stated: number) =>
  numberField({ means: name, unit: 'percent', min: 0, max: 100, default: stated, example: stated });

/** Ink beneath large blacks. */
export const support = z.strictObject({
  enabled: switchField({
    means: 'Whether large solid blacks get ink beneath them, so that they print deep',
    default: printDefaults.support.enabled,
    example: true,
  }),
  ink: z
    .tuple([
      tint('Cyan beneath the black', printDefaults.support.ink[0]),
      tint('Magenta beneath the black', printDefaults.support.ink[1]),
      tint('Yellow beneath the black', printDefaults.support.ink[2]),
    ])
    .meta({
      ...heading(
        'three percentages in brackets: cyan, magenta, yellow',
        `Ink beneath large blacks. Unit: percent. Range: 0 to 100 each. Default: ${printDefaults.support.ink.join(', ')}.` +
          ' The ink limit counts it together with the black.',
        [60, 40, 40],
      ),
      default: printDefaults.support.ink,
    }),
  choke: numberField({
    means: 'How far the support stays inside the edge of its black',
    unit: "the job's unit",
    min: 0,
    default: `${printDefaults.support.chokeMm} mm in either unit`,
    defaultInWords: true,
    interplay: `At most ${printLimitsMm.chokeMax} mm; wider than the press can be out of register, so that no colour peeps out`,
    example: 0.01,
  }),
  minWidth: numberField({
    means: 'Blacks narrower than this get no support',
    unit: "the job's unit",
    min: 0,
    default: `${printDefaults.support.minWidthMm} mm in either unit`,
    defaultInWords: true,
    interplay: `At most ${printLimitsMm.minWidthMax} mm; more than twice the choke`,
    example: 0.08,
  }),
});

/** Black instead of cyan, magenta and yellow where all three make the same grey. */
export const inkSaving = z.strictObject({
  enabled: switchField({
    means: 'Whether the grey that cyan, magenta and yellow make together is printed in black ink instead',
    default: printDefaults.inkSaving.enabled,
    interplay: 'Ask the printer first; colours stay as they are by the profile, light skin keeps its inks',
    example: true,
  }),
  most: numberField({
    means: 'How far any colour may move by it',
    unit: 'CIEDE2000',
    min: 0.1,
    max: 10,
    default: printDefaults.inkSaving.most,
    example: 1,
  }),
  skin: numberField({
    means: 'How far light skin tones may move by it',
    unit: 'CIEDE2000',
    min: 0,
    max: 10,
    default: printDefaults.inkSaving.skin,
    interplay: 'At most most',
    example: 0.5,
  }),
  skinBlack: numberField({
    means: 'How much black light skin tones may gain; its dots look grainy there',
    unit: 'percent',
    min: 0,
    max: 100,
    default: printDefaults.inkSaving.skinBlack,
    example: 0,
  }),
});

const difference = (about: { means: string; default: number; interplay?: string }) =>
  numberField({ ...about, unit: 'CIEDE2000', min: 0.5, max: 100, example: about.default });

/** How far print may be from the page as painted. */
export const fidelity = z.strictObject({
  warn: difference({
    means: 'Where more than 0.1 % of what is no black line differs by more, the page asks for a look',
    default: printDefaults.fidelity.warn,
  }),
  stop: difference({
    means: 'Where more than 0.1 % of what is no black line differs by more, the page is stopped',
    default: printDefaults.fidelity.stop,
    interplay: 'At least warn',
  }),
  edge: difference({
    means: 'A step from pixel to pixel that is larger by this than the painted one is an edge nobody painted',
    default: printDefaults.fidelity.edge,
  }),
});

const limit = ({ means, unit, max, default: suggestion, source }: CheckLimit) =>
  numberField({
    means,
    unit,
    min: 0,
    max,
    default: suggestion,
    interplay: `0 leaves it out. Suggestion: ${source}`,
    example: suggestion,
  });

const limits = limitRows.map(([name, row]) => [name, limit(row)]);

/** What is noticed on a page is held against these. */
export const checks = z.strictObject(
  Object.fromEntries(limits) as Record<CheckLimitName, ReturnType<typeof limit>>,
);
