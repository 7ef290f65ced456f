import * as z from 'zod';
import { exitCode, PlatehandError } from '../../config/errors.js';
import { productNames } from '../model/page-result.js';
import { pagePixels } from '../runner/page-cost.js';
import { sheetPixels } from './page-job.js';
import { checkedRequest } from './page-request-form.js';
import { type PageInHand, sheetNames } from './queue-view.js';
import { checkedBundle, type SentBundle } from './sent-bundle.js';
import type { SentRequest } from './sent-request.js';
import type { SentSheet } from './sent-sheet.js';
import { checkedSheet } from './sheet-form.js';

/** Work from the queue, looked at from end to end. */
export type CheckedJob = {
  /** What it takes of the pixel budget, counted here. */
  readonly pixels: number;
  /** What it is called. */
  readonly words: WorkWords;
} & (
  | {
      readonly kind: 'page';
      /** Sound in every field; its key is found out by who makes it. */
      readonly request: SentRequest;
    }
  | {
      readonly kind: 'sheet';
      /** Sound in every field. */
      readonly sheet: SentSheet;
    }
  | {
      readonly kind: 'bundle';
      /** Sound in every field. */
      readonly bundle: SentBundle;
    }
);

/** What work on the queue calls itself. */
export type WorkWords = Omit<PageInHand, 'since'>;

const jobForm = z.object({
  engine: z.string().max(100),
  request: z.unknown().optional(),
  sheet: z.unknown().optional(),
  bundle: z.unknown().optional(),
});

/** What a page is called in messages before anything of it is believed; as much as can be told. */
const wordsForm = z.object({
  request: z.object({
    issue: z.string().max(100),
    page: z.object({ id: z.string().max(100) }),
    products: z.array(z.enum(productNames)).max(productNames.length),
  }),
});

/**
 * Nothing is trusted from a queue: whoever can write there may write anything.
 * @throws PlatehandError `queue-refused`, `engine-differs`
 */
export function checkedJob(data: unknown, engine: string): CheckedJob {
  const job = jobForm.safeParse(data);
  if (!job.success) {
    throw new PlatehandError(
      'queue-refused',
      'What stands on the queue is no page',
      'Look who else writes to this queue.',
      { exitCode: exitCode.attention },
    );
  }
  if (job.data.engine !== engine) throw engineDiffers(job.data.engine, engine);
  const words = wordsOf(data);
  if (job.data.sheet !== undefined) {
    return { kind: 'sheet', sheet: checkedSheet(job.data.sheet), pixels: sheetPixels, words };
  }
  if (job.data.bundle !== undefined) {
    return { kind: 'bundle', bundle: checkedBundle(job.data.bundle), pixels: sheetPixels, words };
  }
  const request = checkedRequest(job.data.request);
  return { kind: 'page', request, pixels: pagePixels(request), words };
}

/** The refusal of work that another version has asked for: it would come out otherwise here. */
export function engineDiffers(asked: string, own: string): PlatehandError {
  return new PlatehandError(
    'engine-differs',
    `The pages on this queue are asked for by platehand ${asked}, and this is ${own}: the same page would not come out the same`,
    'Install the same version on every machine.',
  );
}

/** What a picture is called before anything of it is believed. */
const sheetWordsForm = z.object({
  sheet: z.object({ kind: z.literal('colour-script').optional(), issue: z.string().max(100) }),
});

/** What a bundle is called before anything of it is believed. */
const bundleWordsForm = z.object({ bundle: z.object({ issue: z.string().max(100) }) });

/** What work on the queue calls itself. */
export function wordsOf(data: unknown): WorkWords {
  const sheet = sheetWordsForm.safeParse(data);
  if (sheet.success) {
    const { issue, kind } = sheet.data.sheet;
    return {
      issue,
      page: kind === undefined ? sheetNames.contactSheet : sheetNames.colourScript,
      products: [],
    };
  }
  const bundle = bundleWordsForm.safeParse(data);
  if (bundle.success) return { issue: bundle.data.bundle.issue, page: sheetNames.bundle, products: [] };
  const words = wordsForm.safeParse(data);
  if (!words.success) return { issue: '?', page: '?', products: [] };
  const { issue, page, products } = words.data.request;
  return { issue, page: page.id, products };
}
