import type { Part } from '../job.js';

/** The four covers of an issue, by the ids that a page list usually gives them. */
export const coverIds = ['cover', 'inside-front-cover', 'inside-back-cover', 'back-cover'] as const;
/** One of them. */
export type CoverId = (typeof coverIds)[number];

/** Work that never prints by itself; the names are how messages speak of it. */
export const offPrintKinds = [
  'pencils',
  'a sketch',
  'a layout',
  'a reference',
  'a thumbnail',
  'a preview',
  'a picture of low resolution',
  'an alternative',
  'unfinished or discarded work',
] as const;
/** One kind of it. */
export type OffPrintKind = (typeof offPrintKinds)[number];

/**
 * What studios of one language write into file names: lists with commas, lower case, with accents, several words with
 * spaces between. Common practice, no published source. Names are compared without accents and in any case, and a word
 * that two languages use for two parts is nobody's: people are asked (see word-tables.ts).
 */
export interface LanguageWords {
  /** A number after one of these is a page's. */
  readonly page: string;
  /** A number that touches one of these from before is a page's; none in most languages. */
  readonly pageBehind?: string;
  /** One to thirty, as they stand behind a page word; several forms of one number with a slash between. */
  readonly numbers: string;
  /** Names of the four covers. */
  readonly covers: Readonly<Record<CoverId, string>>;
  /** A number after one of these is the issue's. */
  readonly issue: string;
  /** A number that touches one of these from before is the issue's; none in most languages. */
  readonly issueBehind?: string;
  /** A number after one of these is a version. */
  readonly version: string;
  /** Words that tell a part. */
  readonly parts: Readonly<Record<Part, string>>;
  /** Words that say that a page is finished, whole or new, or how it was made: they tell no part and no version. */
  readonly finished: string;
  /** Words for work that is not for print. */
  readonly offPrint: Readonly<Partial<Record<OffPrintKind, string>>>;
  /** Words that mark a copy; a number after one tells copies apart. */
  readonly copy: string;
  /** Months, in full and short, as dates have them. */
  readonly months: string;
  /** Small words that join others and say nothing. */
  readonly joining: string;
}

/** Words for a flattened page as much as for flat fills: only the picture can tell. */
export const flatWords: readonly string[] = ['flat', 'フラット', 'флэт', 'флет'];

/** The words of a list with commas. */
export function listed(words: string | undefined): string[] {
  return (words ?? '')
    .split(',')
    .map((word) => word.trim())
    .filter((word) => word !== '');
}
