import * as z from 'zod';
import { isInkPart, writtenPart } from '../../config/extra-ink.js';
import { parts } from '../../config/job.js';
import { mostInks } from '../../config/job-file/extra-ink-schema.js';
import { productNames } from '../model/page-result.js';
import { defaultReadLimits } from '../reading/read-limits.js';
import {
  baseName,
  filePart,
  type InStep,
  inkId,
  line,
  neededPart,
  percent,
  sha256,
  whole,
  within,
  workingName,
} from './form-fields.js';
import { heldAgainst } from './form-refusal.js';
import { specForm } from './print-spec-form.js';
import type { SentRequest } from './sent-request.js';

/** Whoever can write to the queue can put anything there: a page request is taken only as far as every field of it is sound. */

/** As in job.yaml. */
const longest = { id: 32, code: 32, alias: 64, text: 200, ink: 60 } as const;
/** Characters of a note: 4,000 of any kind, written out composed or not. */
const longestNote = 16_000;
/** A name of a note has its round, page and editor in it. */
const longestNoteName = 120;
/** More than job.yaml of its largest size can bring, or than anybody writes. */
const most = { words: 10_000, aliases: 1000, accepted: 1000, notes: 1000, rounds: 9999 } as const;
/** Each part, the plate of each extra ink and the whole page, once a half. */
const mostFiles = 2 * (parts.length + 1 + mostInks);
const highestPage = 9999;
const mostPictures = 10_000;
/** Half as much again as the largest trim, for places in the bleed of a spread. */
const farthestMm = 3600;

const id = line(longest.id);

const file = z.strictObject({
  name: workingName,
  part: filePart,
  half: whole(highestPage, 1).optional(),
  version: within(0, Number.MAX_SAFE_INTEGER).optional(),
  picture: whole(mostPictures, 1).optional(),
  bytes: whole(defaultReadLimits.maxFileBytes),
  sha256,
});

const page = z.strictObject({
  id,
  kind: line(longest.code),
  numbers: z.array(whole(highestPage, 1)).max(2),
  aliases: z.array(line(longest.alias)).max(most.aliases),
  scene: id.optional(),
  needs: z.array(neededPart).max(mostFiles).optional(),
  heldReason: line(longest.text).optional(),
  accepted: z
    .record(
      z
        .string()
        .max(longest.text)
        .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/),
      line(longest.text),
    )
    .refine((codes) => Object.keys(codes).length <= most.accepted),
  register: z.strictObject({ line: z.enum(['auto', 'off']) }),
  clean: z.enum(['specks', 'off']),
  spec: specForm,
});

const extraInk = z.strictObject({
  id: inkId,
  name: line(longest.ink),
  shownAs: z.tuple([percent, percent, percent, percent]),
  bits: z.literal([1, 8]),
  overprints: z.boolean(),
  inTotal: z.boolean(),
});

const place = z.strictObject({
  xMm: within(-farthestMm, farthestMm),
  yMm: within(-farthestMm, farthestMm),
});

const note = z.strictObject({
  name: line(longestNoteName),
  number: whole(Number.MAX_SAFE_INTEGER, 1),
  round: whole(most.rounds, 1),
  editor: line(longestNoteName).optional(),
  text: z.string().max(longestNote),
  place: place.optional(),
  cell: line(longest.code).optional(),
  madeOf: z.array(sha256).max(mostFiles),
  closedBy: line(longest.text).optional(),
});

const words = z.array(line(longest.alias)).max(most.words);
const keys = Object.fromEntries(productNames.map((name) => [name, sha256]));

const request = z.strictObject({
  issue: line(longest.code),
  title: line(longest.text),
  scene: line(longest.text).optional(),
  units: z.enum(['mm', 'in']),
  page,
  partWords: z.strictObject({ colour: words, line: words, lettering: words, flats: words }),
  extraInks: z.array(extraInk).max(mostInks).optional(),
  files: z.array(file).min(1).max(mostFiles),
  key: sha256,
  productKeys: z.strictObject(keys as Record<(typeof productNames)[number], typeof sha256>),
  awaits: z.array(filePart).max(mostFiles).optional(),
  notes: z.array(note).max(most.notes).optional(),
  baseName,
  halfNames: z.array(baseName).length(2).optional(),
  products: z.array(z.enum(productNames)).max(productNames.length),
});

type Given = z.infer<typeof request>;

/** What fields say together, by the field that is to blame. */
const rules: readonly (readonly [path: string, holds: (given: Given) => boolean])[] = [
  ['products', ({ products }) => isEachOnce(products)],
  ['files', ({ files }) => isEachOnce(files.map(({ part, half }) => `${part} ${half ?? ''}`))],
  ['files', ({ files, page: { numbers } }) => files.every(({ half }) => !half || numbers.includes(half))],
  ['files', ({ files, extraInks }) => files.every(({ part }) => isKnownInk(part, extraInks))],
  ['extraInks', ({ extraInks = [] }) => isEachOnce(extraInks.map((ink) => ink.id))],
  ['page.numbers', ({ page: { numbers } }) => numbers.length < 2 || numbers[1] === numbers[0] + 1],
];

function isEachOnce(names: readonly string[]): boolean {
  return new Set(names).size === names.length;
}

function isKnownInk(part: string, inks: Given['extraInks'] = []): boolean {
  return !isInkPart(part) || inks.some((ink) => ink.id === writtenPart(part));
}

const requestForm = rules.reduce(
  (form, [path, holds]) => form.refine(holds, { path: path.split('.'), error: 'contradicts another field' }),
  request,
);

/**
 * A page request that came from the queue.
 * @param value what JSON gave
 * @throws PlatehandError `queue-refused` that names the first field which is not as it should be
 */
export function checkedRequest(value: unknown): SentRequest {
  const read = heldAgainst(requestForm, value, { what: 'A page on the queue', whole: 'the request' });
  // A field that one of form and type does not have shows here, as a type that is not the function's.
  return read as InStep<Given, SentRequest>;
}
