import * as z from 'zod';
import { type CheckLimitName, limitRows } from '../../config/check-limits/index.js';
import { printLimitsMm } from '../../config/job-file/print-defaults.js';
import { printOverrideSchema } from '../../config/job-file/print-schema.js';
import { fidelity, inkSaving, line } from '../../config/job-file/print-sections.js';
import { shippedPressNames } from '../../config/press/press-conditions.js';
import { mostProfileBytes } from '../../config/press.js';
import { blackPlates, intents, isBlackOnly, pdfForms, spreadForms } from '../../config/print-spec.js';
import { percent, sha256, stepName, whole, within } from './form-fields.js';

/** The form of a page's print spec as it comes from the queue. Ranges are those of job.yaml, taken from its own form. */

const job = printOverrideSchema.shape;
const { trimMin, trimMax, bleedMax, chokeMax, minWidthMax, plateShiftMax } = printLimitsMm;

/** A press condition: one that ships, or the printer's own profile by its content. Where it stands on another machine says nothing here. */
const press = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('shipped'),
    name: z.string().refine((name) => shippedPressNames.some((shipped) => shipped === name), {
      error: 'is no press condition that ships',
    }),
  }),
  z.strictObject({
    kind: z.literal('file'),
    sha256,
    bytes: whole(mostProfileBytes, 1),
    /** A profile without a description goes by the name of its file. */
    name: stepName,
  }),
]);

const lineSettings = z.strictObject({
  thresholdPercent: line.shape.threshold.out,
  blackMaxLevelPercent: percent,
  blackMaxChromaPercent: percent,
  liftMaxLevelPercent: percent,
  liftFromFlat: z.boolean(),
});

const support = z.strictObject({
  enabled: z.boolean(),
  inkPercent: z.strictObject({ cyan: percent, magenta: percent, yellow: percent }),
  chokeMm: within(0, chokeMax),
  minWidthMm: within(0, minWidthMax),
});

const fidelityLimits = z.strictObject({
  warnDe: fidelity.shape.warn.out,
  stopDe: fidelity.shape.stop.out,
  edgeDe: fidelity.shape.edge.out,
});

const saving = z.strictObject({
  enabled: z.boolean(),
  mostDe: inkSaving.shape.most.out,
  skinDe: inkSaving.shape.skin.out,
  skinBlackPercent: percent,
});

const limits = limitRows.map(([name, { max }]) => [name, within(0, max)]);
const checks = z.strictObject(Object.fromEntries(limits) as Record<CheckLimitName, z.ZodNumber>);

const spec = z.strictObject({
  // A spread is as wide as two pages.
  trim: z.strictObject({ widthMm: within(trimMin, 2 * trimMax), heightMm: within(trimMin, trimMax) }),
  bleedMm: within(0, bleedMax),
  safeMm: within(0, trimMax),
  colourPpi: job.colourPpi.unwrap().out,
  linePpi: job.linePpi.unwrap().out,
  proofPpi: job.proofPpi.unwrap().out,
  press,
  inks: z.union([
    z.tuple([z.literal('cyan'), z.literal('magenta'), z.literal('yellow'), z.literal('black')]),
    z.tuple([z.literal('black')]),
  ]),
  inkLimitPercent: job.inkLimit.unwrap().out.optional(),
  intent: z.enum(intents),
  blackPointCompensation: z.boolean(),
  proofPaperWhite: z.boolean(),
  proofBoxes: z.boolean(),
  untaggedAs: z.literal('srgb'),
  untaggedStated: z.boolean(),
  allowEnlarging: z.boolean(),
  line: lineSettings,
  support,
  fidelity: fidelityLimits,
  checks,
  inkSaving: saving,
  plateShiftMm: within(0, plateShiftMax).optional(),
  spreads: z.enum(spreadForms),
  foldBleedMm: within(0, bleedMax),
  pdf: z.enum(pdfForms),
  marks: z.boolean(),
  blackPlate: z.enum(blackPlates),
  inkLimitConfirmed: z.boolean(),
});

/** What settings say together (config/job-file/spec-rules.ts), by the field that is to blame. */
const rules: readonly (readonly [path: string, holds: (given: z.infer<typeof spec>) => boolean])[] = [
  ['safeMm', ({ safeMm, trim }) => 2 * safeMm < Math.min(trim.widthMm, trim.heightMm)],
  ['linePpi', ({ linePpi, colourPpi }) => linePpi >= colourPpi],
  ['proofPpi', ({ proofPpi, colourPpi }) => proofPpi <= colourPpi],
  ['blackPointCompensation', (given) => !given.blackPointCompensation || given.intent === 'relative'],
  ['support.enabled', (given) => !given.support.enabled || !isBlackOnly(given)],
  ['support.minWidthMm', (given) => given.support.minWidthMm > 2 * given.support.chokeMm],
  ['fidelity.stopDe', (given) => given.fidelity.stopDe >= given.fidelity.warnDe],
  ['inkSaving.skinDe', (given) => given.inkSaving.skinDe <= given.inkSaving.mostDe],
];

/** The print spec of a page. */
export const specForm = rules.reduce(
  (form, [path, holds]) =>
    form.refine(holds, { path: path.split('.'), error: 'contradicts another setting' }),
  spec,
);
