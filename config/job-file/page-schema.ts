import * as z from 'zod';
import { deliveryNeeds, fileKinds, parts } from '../job.js';
import { deliveryDefaults } from './delivery-naming.js';
import type { JobPath } from './job-problem.js';
import { printOverrideSchema } from './print-schema.js';
import { clean, register } from './repair-schema.js';
import { choiceField, heading, numberField, switchField, textField } from './schema-fields.js';

/** The entries of job.yaml's lists: scenes, pages, held pages, name assignments, part words. */

/** Words that may stand in output names on every system: letters, digits, hyphen, underscore. */
export const wordPattern = /^[\p{L}\p{M}\p{N}][\p{L}\p{M}\p{N}_-]*$/u;
/** The same in words, for messages. */
export const word = 'letters, digits, hyphens and underscores, up to 32';

/** The name of a kind of page. */
export const kindName = textField({
  means: 'Kind of page',
  expected: `the name of a kind: ${word}`,
  pattern: wordPattern,
  max: 32,
  example: 'cover',
});

const sceneId = textField({
  means: 'Id of a scene, as pages name it',
  expected: `the id of a scene: ${word}`,
  pattern: wordPattern,
  max: 32,
  looksLikeNumber: true,
  example: 'harbour',
});

/** An entry of `scenes`. */
export const scene = z.strictObject({
  id: sceneId,
  title: textField({
    means: 'Title on the contact sheet',
    default: 'the id',
    defaultInWords: true,
    expected: 'a title on one line',
    looksLikeNumber: true,
    example: 'Harbour, noon',
  }).optional(),
  setOff: switchField({
    means:
      'Set off from the scenes around it by its colours, as a flashback or a dream is; where it is not, a note says so',
    default: false,
    example: true,
  }).optional(),
});

const pageReference = textField({
  means: 'A page of the page list, by the id it has there',
  expected: 'the id of a page in the page list',
  looksLikeNumber: true,
  example: 7,
});

const page = textField({
  means:
    'One page: its number, or a name such as cover, inside-front-cover, inside-back-cover, back-cover. ' +
    'A name consists of letters, digits and hyphens. Leading zeros are kept',
  expected: 'a page number from 1 to 9999, or a name of letters, digits and hyphens',
  max: 32,
  looksLikeNumber: true,
  example: 8,
});

const aliases = z
  .array(
    textField({
      means: 'Another name that file names use for this page',
      expected: 'a name on one line',
      max: 64,
      example: 'front',
    }),
  )
  .meta(
    heading(
      'a list of names in brackets',
      'Other names that file names use for this page, besides its id. Default: the usual ones for covers, such as front, fc, ifc, bc.',
      ['front'],
    ),
  );

/** A page is complete with these; flats are work in progress and never asked for. */
export const neededParts = ['colour', 'line', 'lettering'] as const;
/** What a file of `names` may be, besides an extra ink. */
export const assignedParts = [...parts, 'whole'] as const;

/** A part by its name, or an extra ink by its id; part-rules.ts holds it against those that there are. */
const partField = (known: readonly string[], means: string) =>
  textField({
    means,
    expected: `one of ${known.join(', ')}, or the id of an extra ink`,
    max: 32,
    example: 'colour',
  });

/** An entry of `pages`: exactly one of page, pages and spread (page-list.ts sees to that), and what is said about it. */
export const pageEntry = z
  .strictObject({
    page: page.optional(),
    pages: textField({
      means: 'Several single pages: first and last number',
      expected: 'a first and a last page number with a hyphen between',
      looksLikeNumber: true,
      example: '1-5',
    }).optional(),
    spread: textField({
      means: 'Two facing pages that are one picture of double width: their two numbers',
      expected: 'two page numbers that follow each other, with a hyphen between',
      example: '6-7',
    }).optional(),
    kind: kindName.optional(),
    scene: sceneId.optional(),
    aliases: aliases.optional(),
    needs: z
      .array(partField(neededParts, 'A part'))
      .min(1)
      .meta(
        heading(
          `a list of parts in brackets: ${neededParts.join(', ')}, ids of extra inks`,
          'Parts without which the page is not complete. Default: a whole page, or colour and line.',
          ['colour', 'line'],
        ),
      )
      .optional(),
    print: printOverrideSchema
      .meta(
        heading('a section of print keys', 'Print settings for this page alone; all but naming.', {
          allowEnlarging: true,
        }),
      )
      .optional(),
    register: register.optional(),
    clean: clean.optional(),
    accept: z
      .record(
        z
          .string()
          .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/)
          .meta({ title: 'the code of a finding, such as colour-ppi-low' }),
        textField({
          means: 'Why it is accepted',
          expected: 'the reason, in words',
          example: 'editor agreed on 2 Dec',
        }),
      )
      .meta(
        heading(
          'finding codes, each with the reason why it is accepted',
          'Findings that the people in charge accept on this page, each with their reason. Default: none.',
          { 'colour-ppi-low': 'editor agreed on 2 Dec' },
        ),
      )
      .optional(),
  })
  .meta({
    ...heading(
      'a page, a range or a spread',
      'One of `page`, `pages` (a range) or `spread`, and what is to be said about it. Kind: cover for the four covers, else interior.',
      { page: 8 },
    ),
    oneOf: [{ required: ['page'] }, { required: ['pages'] }, { required: ['spread'] }],
  });

/** An entry of `held`. */
export const held = z.strictObject({
  page: pageReference,
  reason: textField({
    means: 'Why it is held back',
    expected: 'the reason, in words',
    example: 'script rewrite',
  }),
});

/** What a file of `names` is, unless it is to be passed over. */
export const assignment = z.strictObject({
  page: pageReference,
  part: partField(assignedParts, 'What the file is to that page. Default: whole').optional(),
  picture: numberField({
    means: 'Which picture of a multi-page TIFF, counted from 1',
    min: 1,
    max: 10_000,
    whole: true,
    default: 'the only one',
    defaultInWords: true,
    example: 2,
  }).optional(),
});

/** An entry of the page list as it is written: a page, a range or a spread. */
export type PageEntry = z.infer<typeof pageEntry>;

/** A page of the list before its print spec is worked out. */
export interface ListedPage {
  /** As in the list, leading zeros included: `cover`, `7`, `007`, `12-13`. */
  readonly id: string;
  /** Kind of page: as its entry says, else `cover` for the four covers and `interior`. */
  readonly kind: string;
  /** Page numbers it covers, 1 to 9999: none, one, or two that follow each other. */
  readonly numbers: readonly number[];
  /** Other names in file names: its entry's, and the usual ones for covers. */
  readonly aliases: readonly string[];
  /** Whether it is two facing pages in one picture. */
  readonly isSpread: boolean;
  /** The entry that it comes from; a range gives one entry to many pages. */
  readonly entry: PageEntry;
  /** Where that entry stands in job.yaml. */
  readonly at: JobPath;
}

/** Which files go out; what they make together is checked in delivery-rules.ts. */
const deliveredFiles = z
  .array(choiceField(fileKinds, { means: 'A kind of files', example: 'pdf' }))
  .min(1)
  .meta({
    ...heading(
      `a list of ${fileKinds.join(', ')}`,
      `Which files go into a delivery: ${fileKinds.join(', ')}. One at least of pdf, composite, line and plates; plates whose black ` +
        'holds no line (blackPlate) only together with line. Contact sheet and report go with proofs, the PDF of all pages with pdf. ' +
        `Default: ${deliveryDefaults.files.join(', ')}.`,
      deliveryDefaults.files,
    ),
    default: deliveryDefaults.files,
  });

/** The `delivery` section. */
export const deliverySection = z
  .strictObject({
    files: deliveredFiles,
    naming: textField({
      means:
        'Pattern of the names of deliveries, without extension. Tokens: {issue} {number} {delivery}; {number} is the ' +
        "issue's number, {delivery} the delivery's, counted from 1; -partial or -supplement is put behind it",
      expected: 'a pattern with {delivery} in it; tokens are {issue} {number} {delivery}',
      default: deliveryDefaults.naming,
      max: 100,
      example: deliveryDefaults.naming,
    }),
    timeZone: textField({
      means: 'Where the day of a delivery is counted: a name such as Europe/Vienna, UTC, or hours from UTC',
      default: "the hours from UTC that due states, or without due the machine's own zone",
      defaultInWords: true,
      expected: 'a time zone such as Europe/Vienna',
      max: 64,
      example: 'Europe/Vienna',
    }),
    needs: choiceField(deliveryNeeds, {
      means:
        'What pages need before they are delivered, beside being ready: accepted asks for the verdict "accepted" in a review round, ' +
        'for all notes closed, and for notes files without mistakes',
      default: deliveryDefaults.needs,
      example: 'accepted',
    }),
  })
  .partial();
