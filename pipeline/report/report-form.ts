import * as z from 'zod';

/**
 * What report.json holds, from which report.html is made as well: each member with its meaning and unit. Lengths in millimetres, shares in
 * percent. `npm run schema` writes the JSON Schema of it.
 */

/** Raised when a member changes its meaning; what is only added does not raise it. */
export const reportFormat = 'platehand report 1';

const text = (means: string) => z.string().describe(means);
const maybe = (means: string) => z.string().nullable().describe(`${means}; null where there is none`);
const figure = (means: string) => z.number().describe(means);
const whole = (means: string) => z.number().int().nonnegative().describe(means);

const severity = z
  .enum(['stop', 'warn', 'note'])
  .describe('stop keeps the page out of a delivery, warn asks for a look, note is for the record');

const box = z
  .strictObject({
    leftPercent: figure('From the left of the picture, in percent of its width'),
    topPercent: figure('From its top, in percent of its height'),
    widthPercent: figure('In percent of its width'),
    heightPercent: figure('In percent of its height'),
  })
  .describe(
    'Where it lies on the pictures of the page; what is very small is drawn larger, so that it can be seen',
  );

const place = z.strictObject({
  number: text(
    'Number of the box, such as 2.1: the first place of finding 2; 3 for the third place that changed',
  ),
  xMm: figure('From the left of the trim; negative in the bleed'),
  yMm: figure('From the top of the trim; negative in the bleed'),
  widthMm: figure('Width of the place'),
  heightMm: figure('Height of the place'),
  measured: maybe('What was measured there, with its unit'),
  box,
});

const finding = z.strictObject({
  number: whole('Counts from 1 on each page, the gravest first'),
  code: text('What kind of finding it is; stable'),
  severity,
  message: text('One sentence: what was found'),
  measured: maybe('The measured value with its unit'),
  limit: maybe('What it was held against, with its unit'),
  source: maybe('Where the limit comes from'),
  remedy: text('What to do'),
  accepted: maybe('Why the people in charge accept it'),
  file: maybe('The working page that it is about, below incoming/'),
  placesInAll: whole('How many places there are; not all of many are listed'),
  places: z.array(place).describe('Where on the page, the gravest first'),
});

const layer = z.strictObject({
  role: text('ink-coverage, out-of-gamut or fidelity; line, an ink or the id of an extra ink for a plate'),
  kind: z.enum(['heat', 'plate']).describe('heat is laid over the page, plate shows one plate alone'),
  path: text('File of the strip, below the folder of report.json'),
  tile: whole('Which picture of the strip, counted from 0 at its top'),
  tiles: whole('How many pictures of one height the strip has'),
});

const pictures = z
  .strictObject({
    path: text('The page as it prints, trim plus bleed, below the folder of report.json'),
    width: whole('Pixels across'),
    height: whole('Pixels down'),
    trim: box,
    layers: z.array(layer).describe('What can be shown over it or in place of it'),
  })
  .nullable()
  .describe('Pictures of the page; null where nothing of it could be made');

const condition = z
  .strictObject({
    id: text('Name of the press condition'),
    title: text('As people call it'),
    inkLimitPercent: figure('The most C+M+Y+K'),
    inkLimitSource: text('Where that limit comes from'),
  })
  .nullable()
  .describe('What the page was separated for; null before it was');

const since = z
  .strictObject({
    round: whole('Number of the review round that it is compared with'),
    verdict: text('changed, new, gone, size, press or unknown'),
    why: text('One sentence: what changed, with figures'),
    before: z.array(z.string()).describe('Working pages that it was made of then'),
    now: z.array(z.string()).describe('Working pages that it is made of now'),
    placesInAll: whole('How many places changed; not all of many are listed'),
    places: z.array(place).describe('Where on the page, the gravest first; none for a spread in halves'),
  })
  .nullable()
  .describe(
    'How it differs from the last review round or, where it does not, from the one before; null where it does not',
  );

const note = z.strictObject({
  name: text('What it is called everywhere, such as r1-7-mara-2'),
  number: whole('Number of its pin: counts over all notes of the page, from 1'),
  round: whole('The review round that it was written about'),
  editor: maybe('Who wrote it'),
  text: text('What is to be done; may have line breaks, and is empty where only a place was given'),
  state: z
    .enum(['open', 'answered', 'closed'])
    .describe('open until a newer version of the page arrives, then answered until somebody closes it'),
  closedBy: maybe('What closed it'),
  xMm: z.number().nullable().describe('From the left of the trim; null for the page as a whole'),
  yMm: z.number().nullable().describe('From the top of the trim; null for the page as a whole'),
  cell: maybe('Cell of the grid at the edge of the proof'),
  pin: z
    .strictObject({
      leftPercent: figure('From the left of the picture, in percent of its width'),
      topPercent: figure('From its top, in percent of its height'),
    })
    .nullable()
    .describe('Where it lies on the pictures of the page; null for the page as a whole'),
});

const acceptance = z
  .strictObject({
    state: z
      .enum(['accepted', 'change', 'changed since', 'not judged'])
      .describe('changed since: accepted, and a newer version has come'),
    round: z.number().int().nullable().describe('The round whose verdict it is; null for not judged'),
    why: text('The same as a sentence'),
  })
  .describe('How the newest review round judges the page');

const page = z.strictObject({
  page: text('Page id'),
  kind: text('Kind of page, as in job.yaml'),
  scene: maybe('Id of its scene'),
  numbers: z.array(z.number().int()).describe('Page numbers: none for a cover, two for a spread'),
  state: text('done, attention, stopped, ready, waiting, missing, contested or held'),
  why: text('Why it is in this state'),
  missing: z.array(z.string()).describe('Parts that have not arrived'),
  files: z.array(z.string()).describe('Files that were matched to it'),
  trimMm: z.strictObject({
    width: figure('Width of the cut page'),
    height: figure('Height of the cut page'),
  }),
  bleedMm: figure('How far the art extends past the cut'),
  condition,
  pictures,
  findings: z.array(finding).describe('The gravest first'),
  since,
  acceptance,
  notes: z.array(note).describe('What editors wrote in all rounds, the oldest first'),
});

const kind = z.strictObject({
  code: text('What kind of finding it is'),
  severity,
  findings: whole('How many there are'),
  pages: z.array(z.string()).describe('Ids of the pages that have it, in reading order'),
});

/** The whole of report.json. */
export const reportForm = z.strictObject({
  format: z.literal(reportFormat),
  issue: text('Issue code'),
  title: text('Title of the issue'),
  number: z.number().int().nullable().describe('Number of the issue; null where job.yaml states none'),
  due: maybe('When it is due, as job.yaml states it'),
  units: z
    .enum(['mm', 'in'])
    .describe('Unit in which report.html speaks of lengths; here they are in millimetres'),
  summary: text('One line on how the issue stands'),
  counts: z.record(z.string(), z.number().int()).describe('Pages in each state'),
  found: z
    .strictObject({ stop: whole('Stops'), warn: whole('Warnings'), note: whole('Notes') })
    .describe('Findings of each severity'),
  kinds: z.array(kind).describe('Kinds of findings, the gravest first'),
  scenes: z.array(z.strictObject({ id: text('As pages name it'), title: text('As people call it') })),
  board: z.array(z.string()).describe('Page ids, those that need most first'),
  pages: z.array(page).describe('In reading order'),
  leftOut: z
    .array(
      z.strictObject({
        file: text('Below incoming/'),
        why: text('Why it is not used'),
        remedy: text('What to do'),
      }),
    )
    .describe('Files that are of no page, or that claim the same place'),
  cautions: z.array(z.string()).describe('What a report cannot promise'),
});

/** A report as plain data. */
export type ReportData = z.infer<typeof reportForm>;
/** A page of it. */
export type ReportedPage = ReportData['pages'][number];
/** A finding of a page. */
export type ReportedFinding = ReportedPage['findings'][number];
/** A place of a finding. */
export type ReportedPlace = ReportedFinding['places'][number];
/** Where something lies on a picture. */
export type ReportedBox = ReportedPlace['box'];
/** A note of an editor. */
export type ReportedNote = ReportedPage['notes'][number];
/** Pictures of a page. */
export type ReportedPictures = NonNullable<ReportedPage['pictures']>;
