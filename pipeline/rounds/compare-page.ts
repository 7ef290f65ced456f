import { messageOf, PlatehandError } from '../../config/errors.js';
import type { PrintSpec } from '../../config/print-spec.js';
import type { InkLooks } from '../inks/ink-looks.js';
import { comparePictures, type PictureComparison } from './compare-pictures.js';
import {
  compositeOf,
  type NamedUse,
  openPicture,
  type PageState,
  pictureNames,
  picturesOf,
} from './page-state.js';

/** How a page stands to what was frozen or delivered of it. */

/**
 * `unchanged`: the same pixels, whatever files they were made of. `changed`: others. `new`, `gone`: only one of both is there. `absent`:
 * neither. `size`: of another size, or delivered in other pieces. `press`: for another press condition. `unknown`: it cannot be told.
 */
export type PageVerdict = 'unchanged' | 'changed' | 'new' | 'gone' | 'absent' | 'size' | 'press' | 'unknown';

/** One picture of a page compared: the page, or half of a spread. */
export interface ComparedPicture extends PictureComparison {
  /** Page number of the half; undefined for the whole. */
  readonly half?: number | undefined;
  /** Pixels per inch of the composite. */
  readonly ppi: number;
}

/** A page compared, as plain data. */
export interface PageComparison {
  readonly page: string;
  readonly verdict: PageVerdict;
  /** One sentence without a final full stop. */
  readonly why: string;
  /** The working pages before and now. */
  readonly before: readonly NamedUse[];
  readonly now: readonly NamedUse[];
  /** What was measured, where both could be laid on each other and differ. */
  readonly pictures: readonly ComparedPicture[];
}

/** What comparing needs beside both states. */
export interface CompareOptions {
  /** Places count from its trim. */
  readonly spec: Pick<PrintSpec, 'trim'>;
  /** Opened when something has to be measured. */
  readonly looks: () => Promise<InkLooks>;
  /** What was measured before, by both states' files. */
  readonly known?: KnownComparisons | undefined;
  /** Whether to measure what is not known; otherwise its pictures are left out. Default true. */
  readonly measures?: boolean;
}

/** Remembers what was measured; see comparison-cache.ts. */
export interface KnownComparisons {
  get(name: string): readonly ComparedPicture[] | undefined;
  set(name: string, pictures: readonly ComparedPicture[]): void;
}

/**
 * Compares two states of a page. What goes wrong with its files becomes the verdict `unknown`, with why.
 * @param before undefined for a page that was not in the page list then
 */
export async function comparePage(
  page: string,
  before: PageState | undefined,
  now: PageState | undefined,
  options: CompareOptions,
): Promise<PageComparison> {
  const told = (verdict: PageVerdict, why: string, pictures: readonly ComparedPicture[] = []) => {
    return { page, verdict, why, before: before?.used ?? [], now: now?.used ?? [], pictures };
  };
  const early = withoutPixels(before, now);
  if (early !== undefined) return told(...early);
  if (before === undefined || now === undefined) throw new Error('told above');
  try {
    const pictures = await measured(before, now, options);
    if (pictures === undefined) return told('changed', 'Its press files are others; not measured yet');
    const differ = pictures.filter(({ verdict }) => verdict !== 'unchanged');
    if (differ.length === 0) return told('unchanged', sameWords(before, now));
    const other = differ.find(({ verdict }) => verdict === 'size');
    if (other !== undefined) return told('size', sizeWords(other));
    return told('changed', changeWords(differ), differ);
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) throw thrown;
    return told('unknown', `It cannot be compared: ${thrown.place.file ?? ''}: ${messageOf(thrown.what)}`);
  }
}

/** What can be told from names and checksums alone; undefined where pixels have to tell. */
function withoutPixels(
  before: PageState | undefined,
  now: PageState | undefined,
): readonly [PageVerdict, string] | undefined {
  if (before === undefined || now === undefined) return oneSided(before, now);
  const [were, are] = [picturesOf(before), picturesOf(now)];
  if (were.size === 0 || are.size === 0) return withoutComposite(before, now, were.size > 0, are.size > 0);
  if (before.profileSha256 !== now.profileSha256) {
    return ['press', 'It was separated for another press condition then'];
  }
  if (`${pictureNames(before)}` === `${pictureNames(now)}`) return ['unchanged', sameWords(before, now)];
  const halves = (pictures: typeof were) => `${[...pictures.keys()]}`;
  if (halves(were) !== halves(are)) return ['size', 'Its spread was delivered in other pieces then'];
  return undefined;
}

function oneSided(before: PageState | undefined, now: PageState | undefined): readonly [PageVerdict, string] {
  if (now === undefined) return ['gone', 'It is no longer in the page list'];
  if (before === undefined && picturesOf(now).size > 0) return ['new', 'It was not there then'];
  return ['absent', `It was not there then, and is ${now.lacks}`];
}

function withoutComposite(
  before: PageState,
  now: PageState,
  wasThere: boolean,
  isThere: boolean,
): readonly [PageVerdict, string] {
  if (before.used.length === 0 && now.used.length === 0)
    return ['absent', `It was not there then, and is ${now.lacks}`];
  if (before.used.length === 0)
    return ['new', isThere ? 'It was not there then' : `It was not there then, and is ${now.lacks}`];
  if (now.used.length === 0) return ['gone', `It was there then, and is ${now.lacks}`];
  const same = usedNames(before) === usedNames(now) && before.profileSha256 === now.profileSha256;
  const why = isThere
    ? `then: ${before.lacks}`
    : wasThere
      ? `now: ${now.lacks}`
      : `then and now: ${now.lacks}`;
  if (same) return ['unchanged', `It is made of the same files; no press files to compare (${why})`];
  return ['unknown', `It is made of other files; no press files to compare (${why})`];
}

function usedNames({ used }: PageState): string {
  return used
    .map(({ part, sha256 }) => `${part} ${sha256}`)
    .sort()
    .join();
}

/** @returns undefined where it would have to be measured, and was not asked to be */
async function measured(
  before: PageState,
  now: PageState,
  { spec, looks, known, measures = true }: CompareOptions,
): Promise<readonly ComparedPicture[] | undefined> {
  const name = comparisonName(before, now, spec);
  const remembered = known?.get(name);
  if (remembered !== undefined || !measures) return remembered;
  const were = picturesOf(before);
  const pictures: ComparedPicture[] = [];
  for (const [half, files] of picturesOf(now)) {
    const { ppi } = compositeOf(files);
    const [one, other] = [await openPicture(were.get(half) ?? []), await openPicture(files)];
    const compared = await comparePictures(one, other, { spec, ppi, looks: await looks() });
    pictures.push({ half, ppi, ...compared });
  }
  known?.set(name, pictures);
  return pictures;
}

/** Names a comparison by all that it depends on. */
function comparisonName(before: PageState, now: PageState, { trim }: Pick<PrintSpec, 'trim'>): string {
  const sides = [before, now].map((state) => pictureNames(state));
  return JSON.stringify([...sides, now.profileSha256, trim.widthMm, trim.heightMm]);
}

function sameWords(before: PageState, now: PageState): string {
  if (usedNames(before) === usedNames(now)) return 'It is made of the same files';
  return 'It is made of other files, which hold the same picture';
}

function sizeWords({ sizes: [before, now], half }: ComparedPicture): string {
  const words = ({ width, height }: typeof now) => `${width} x ${height}`;
  const which = half === undefined ? 'It' : `Page ${half} of it`;
  if (words(before) !== words(now))
    return `${which} had ${words(before)} pixels then, and has ${words(now)} now`;
  return `${which} has a plate of another resolution or kind than then`;
}

/** Such as `Colour changed on 1.3 % of the page, dE00 mean 4.1, 95 % up to 9.8, most 23.1; line: 0.02 % more`. */
function changeWords(pictures: readonly ComparedPicture[]): string {
  return pictures
    .map((picture) => `${picture.half === undefined ? '' : `Page ${picture.half}: `}${pictureWords(picture)}`)
    .join('; ');
}

function pictureWords({ colour, line, inks }: ComparedPicture): string {
  const words: string[] = [];
  if (colour !== undefined) {
    const { changedPercent, visiblePercent, meanDe, p95De, mostDe } = colour;
    const seen = visiblePercent === 0 ? ', nothing that is seen' : '';
    const figures = `dE00 mean ${meanDe.toFixed(1)}, 95 % up to ${p95De.toFixed(1)}, most ${mostDe.toFixed(1)}`;
    words.push(`colour changed on ${percentWords(changedPercent)} of the page${seen}, ${figures}`);
  }
  if (line !== undefined) words.push(`line changed: ${plateWords(line)}`);
  for (const ink of inks) words.push(`${ink.ink} changed: ${plateWords(ink)}`);
  const all = words.join('; ');
  return all.charAt(0).toUpperCase() + all.slice(1);
}

function plateWords({ gainedPercent, lostPercent }: { gainedPercent: number; lostPercent: number }): string {
  const side = (percent: number, word: string) =>
    percent === 0 ? [] : [`${percentWords(percent)} of the page ${word}`];
  return [...side(gainedPercent, 'more'), ...side(lostPercent, 'less')].join(', ');
}

/** Two places that count, so that a single pixel is not told as 0 %. */
export function percentWords(percent: number): string {
  return `${percent >= 10 ? Math.round(percent) : Number(percent.toPrecision(2))} %`;
}
