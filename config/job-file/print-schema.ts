import * as z from 'zod';
import { shippedPressNames } from '../press/press-conditions.js';
import { blackPlates, intents, pdfForms, spreadForms } from '../print-spec.js';
import { printDefaults, printLimitsMm } from './print-defaults.js';
import { checks, fidelity, inkSaving, inks, line, support } from './print-sections.js';
import { choiceField, heading, numberField, switchField, textField } from './schema-fields.js';

/** The forms of the `print` section of job.yaml and of its overrides. */

const side = (means: string) =>
  numberField({ means, unit: "the job's unit", min: 0, noun: 'a length', example: 10 });

/** Every key that the base print spec, a kind and a page may set. None is filled in here: see resolve-spec.ts. */
const printShape = {
  trim: z
    .tuple([side('Width of one page'), side('Height of one page')])
    .meta(
      heading(
        "two lengths in brackets: width and height of one page, in the job's unit",
        "The cut page: width, height. Unit: the job's unit. " +
          `Range: ${printLimitsMm.trimMin} to ${printLimitsMm.trimMax} mm each. A spread is as wide as two pages; give one page here.`,
        [6.625, 10.25],
      ),
    ),
  bleed: numberField({
    means: 'How far the art extends past the cut, on all four sides',
    unit: "the job's unit",
    min: 0,
    noun: 'a length',
    interplay: `At most ${printLimitsMm.bleedMax} mm; 1/8 inch or 3 mm are usual, the printer's specification decides`,
    example: 0.125,
  }),
  safe: numberField({
    means: 'The inner margin that keeps lettering and faces from the cut',
    unit: "the job's unit",
    min: 0,
    noun: 'a length',
    interplay: 'Less than half the trim; drawn on proofs, nothing is cut by it',
    example: 0.25,
  }),
  colourPpi: numberField({
    means: 'Resolution of the separated colour: composite and plates',
    unit: 'pixels per inch',
    // Common practice, no published source: coarser shows its pixels, finer no screen can print.
    min: 72,
    max: 1200,
    default: printDefaults.colourPpi,
    interplay: 'Not above linePpi',
    example: printDefaults.colourPpi,
  }),
  linePpi: numberField({
    means: 'Resolution of the 1-bit line plate',
    unit: 'pixels per inch',
    // Common practice, no published source: platesetters work at 2400 to 2540.
    min: 72,
    max: 2400,
    default: printDefaults.linePpi,
    interplay: 'At least colourPpi',
    example: printDefaults.linePpi,
  }),
  proofPpi: numberField({
    means: 'Resolution of proofs',
    unit: 'pixels per inch',
    // Common practice, no published source.
    min: 36,
    max: 300,
    default: printDefaults.proofPpi,
    interplay: 'Not above colourPpi',
    example: printDefaults.proofPpi,
  }),
  press: textField({
    means:
      `The press condition: one that ships (${shippedPressNames.join(', ')}), or a path to the printer's ICC profile. ` +
      'A path has a slash in it or ends in .icc or .icm, and starts from the job folder',
    expected: `one of ${shippedPressNames.join(', ')}, or a path to an ICC profile`,
    max: 1000,
    example: 'cgats-tr006',
  }),
  inks,
  inkLimit: numberField({
    means: 'The most cyan, magenta, yellow and black together that the paper takes',
    unit: 'percent',
    // Common practice, no published source: 400 is four solid inks; newsprint takes 200 to 260.
    min: 150,
    max: 400,
    default: "the press condition's suggestion",
    defaultInWords: true,
    interplay:
      "The printer's own figure goes before the suggestion; a page in black alone takes 100 whatever stands here",
    example: 300,
  }),
  inkLimitConfirmed: switchField({
    means:
      "Whether the printer has confirmed the ink limit that holds here; the receiver's sheet says so or says that not",
    default: printDefaults.inkLimitConfirmed,
    example: true,
  }),
  intent: choiceField(intents, {
    means: 'Rendering intent of the separation, as ICC.1 names them',
    default: printDefaults.intent,
    interplay: 'perceptual, saturation and absolute go without blackPointCompensation',
    example: 'relative',
  }),
  blackPointCompensation: switchField({
    means: 'Whether the darkest colour of the page is laid on the darkest black of the press',
    default: 'true with the relative intent, false with the others',
    defaultInWords: true,
    interplay: 'true is for the relative intent only',
    example: true,
  }),
  proofPaperWhite: switchField({
    means: 'Whether proofs show the colour of the paper',
    default: printDefaults.proofPaperWhite,
    example: false,
  }),
  proofBoxes: switchField({
    means:
      "Whether proofs show findings as numbered boxes over the page, and editors' notes as numbered pins",
    default: printDefaults.proofBoxes,
    interplay: 'platehand proof --clean leaves them out once',
    example: false,
  }),
  untagged: choiceField(['srgb'], {
    means:
      'What RGB or grey without a profile is taken as; a page of such asks for a look unless it is said here',
    default: printDefaults.untagged,
    example: 'srgb',
  }),
  allowEnlarging: switchField({
    means: 'Whether a page may be enlarged past the resolution it was painted at; it is reported either way',
    default: printDefaults.allowEnlarging,
    example: false,
  }),
  spreads: choiceField(spreadForms, {
    means:
      'How press files and plates of a spread are delivered: as one picture, as two single pages, or as both. ' +
      'Proof and contact sheet show the whole spread either way',
    default: printDefaults.spreads,
    interplay: 'Single pages have bleed at the fold as foldBleed says',
    example: 'split',
  }),
  foldBleed: numberField({
    means: "How far each half of a split spread goes on past the fold, with the other half's picture",
    unit: "the job's unit",
    min: 0,
    noun: 'a length',
    default: 'the bleed',
    defaultInWords: true,
    interplay: `At most ${printLimitsMm.bleedMax} mm; 0 ends each half at the fold; the printer's specification decides`,
    example: 0.125,
  }),
  pdf: choiceField(pdfForms, {
    means: 'The form of PDF/X that pages are written in: PDF/X-1a:2003 or PDF/X-4',
    default: printDefaults.pdf,
    interplay: "x-1a takes a printer's profile of ICC version 2 only",
    example: 'x-4',
  }),
  marks: switchField({
    means:
      'Whether PDF pages have marks outside the bleed: trim and register marks, a colour bar, a line of text. ' +
      'The page grows by them; nothing of them lies within the bleed',
    default: printDefaults.marks,
    example: false,
  }),
  blackPlate: choiceField(blackPlates, {
    means:
      'What the black plate holds: the black of the colour alone, over which the line file has to be laid, or the line ' +
      'as well, at linePpi in 8 bit, so that the plates are complete by themselves',
    default: printDefaults.blackPlate,
    interplay: 'PDF, composite and line file are the same either way',
    example: 'withLine',
  }),
  line: line
    .partial()
    .meta(
      heading(
        'a section with threshold, blackLevel, blackChroma, lift, liftLevel',
        'How black line art is told from colour.',
        { threshold: 50 },
      ),
    ),
  support: support
    .partial()
    .meta(
      heading(
        'a section with enabled, ink, choke, minWidth',
        'Ink beneath large blacks, pulled back from their edge.',
        { enabled: true },
      ),
    ),
  fidelity: fidelity
    .partial()
    .meta(
      heading(
        'a section with warn, stop, edge',
        'How far print may be from the page as painted, beside black line.',
        { warn: 3 },
      ),
    ),
  checks: checks
    .partial()
    .meta(
      heading(
        'a section with limits of checks, such as thinLineMm',
        'What is noticed on a page is held against these limits; 0 leaves a check out.',
        { thinLineMm: 0.1 },
      ),
    ),
  inkSaving: inkSaving
    .partial()
    .meta(
      heading(
        'a section with enabled, most, skin, skinBlack',
        'Black instead of the grey of cyan, magenta and yellow.',
        { enabled: true },
      ),
    ),
  plateShiftMm: numberField({
    means:
      'How far two plates may lie beside each other on press, for the simulation of plates out of register',
    unit: 'millimetres, whatever the unit of the job',
    min: 0,
    max: printLimitsMm.plateShiftMax,
    default: "the press condition's figure",
    defaultInWords: true,
    interplay: '0 leaves the simulation out',
    example: 0.1,
  }),
};

const naming = textField({
  means:
    'Pattern of output names, without extension. Tokens: {issue} {number} {page} {kind} {scene}; ' +
    '{page} must be there, and every page must get a name of its own',
  expected: 'a pattern with {page} in it; tokens are {issue} {number} {page} {kind} {scene}',
  default: printDefaults.naming,
  max: 100,
  example: printDefaults.naming,
});

const issuePdf = switchField({
  means: 'Whether all pages also go into one PDF in reading order, beside those of each page',
  default: printDefaults.issuePdf,
  interplay: 'Pages of another press condition, or of another form of PDF/X, make a PDF of their own',
  example: true,
});

/** What a kind or a page may set anew: any of the print keys but `naming` and `issuePdf`. */
export const printOverrideSchema = z.strictObject(printShape).partial();

/** The print section itself. What would cost money if it were guessed has no default: trim, bleed, safe, press. */
export const printSchema = z
  .strictObject({ ...printShape, naming, issuePdf })
  .partial()
  .required({ trim: true, bleed: true, safe: true, press: true });

/** Settings of one level (print, a kind, a page), lengths in the job's unit; what is not there is not set. */
export type PrintSettings = z.infer<typeof printOverrideSchema>;
/** The print section as it is written: trim, bleed, safe and press are there, the rest may be. */
export type PrintSection = z.infer<typeof printSchema>;
