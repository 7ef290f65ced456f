import { clashKey } from '../portable-name.js';
import { type CoverId, coverIds } from '../words/language.js';
import { coverNames } from '../words/word-tables.js';
import { type FoundProblem, type JobPath, wrongValue as wrong } from './job-problem.js';
import { contestedAliases, repeatedPages } from './page-clashes.js';
import type { ListedPage, PageEntry } from './page-schema.js';

/** Highest page number; common practice, no published source: more is a slip of the finger. */
const highestNumber = 9999;

/** More pages than this are a slip of the finger too. */
export const mostPages = 2000;

/** An entry of the list that is sound in itself, and where it stands. */
export interface PlacedEntry {
  /** As it is written, its form checked. */
  readonly entry: PageEntry;
  /** Where it stands in job.yaml. */
  readonly at: JobPath;
}

/** The page list, expanded. */
export interface PageList {
  /** In reading order; entries with mistakes are left out. */
  readonly pages: readonly ListedPage[];
  /** What is wrong with entries, and between them; empty for a sound list. */
  readonly problems: readonly FoundProblem[];
  /** Whether every entry gave its pages, so that a page that is not here is not in the list. */
  readonly isWhole: boolean;
}

/** Pages of one entry, or what is wrong with it. */
type Expanded = { readonly ids: readonly Id[] } | { readonly problem: FoundProblem };
interface Id {
  /** As file names and the page list carry it. */
  readonly id: string;
  /** Page numbers it covers: none, one or two. */
  readonly numbers: readonly number[];
}

/**
 * Expands pages, ranges and spreads in reading order, which is the order written.
 * Problems: not exactly one of page, pages and spread; numbers out of range; ranges backwards; spreads that are not
 * two pages that follow each other; pages that stand there twice; aliases on several pages.
 */
export function expandPages(entries: readonly PlacedEntry[]): PageList {
  const pages: ListedPage[] = [];
  const problems: FoundProblem[] = [];
  for (const placed of entries) {
    const expanded = expandEntry(placed);
    if ('problem' in expanded) problems.push(expanded.problem);
    else for (const id of expanded.ids) pages.push(listedPage(id, placed));
    if (pages.length > mostPages) {
      problems.push(
        wrong(placed.at, `the list grows beyond ${mostPages} pages`, 'the pages of one issue', ''),
      );
      break;
    }
  }
  const isWhole = problems.length === 0;
  problems.push(...repeatedPages(pages), ...contestedAliases(pages));
  return { pages: withDefaultAliases(pages), problems, isWhole };
}

function listedPage({ id, numbers }: Id, { entry, at }: PlacedEntry): ListedPage {
  const isCover = numbers.length === 0 && coverOf(clashKey(id)) !== undefined;
  const kind = entry.kind ?? (isCover ? 'cover' : 'interior');
  const aliases = entry.aliases ?? [];
  return { id, kind, numbers, aliases, isSpread: numbers.length === 2, entry, at };
}

function expandEntry({ entry, at }: PlacedEntry): Expanded {
  const given = [entry.page, entry.pages, entry.spread].filter((value) => value !== undefined);
  if (given.length !== 1) {
    const message = given.length === 0 ? 'this entry names no page' : 'this entry names pages in two ways';
    return { problem: wrong(at, message, 'exactly one of page, pages, spread', 'page: 8') };
  }
  if (entry.page !== undefined) return onePage(entry.page, [...at, 'page']);
  if (entry.spread !== undefined) return spread(entry.spread, [...at, 'spread']);
  return range(entry.pages ?? '', [...at, 'pages'], entry.aliases !== undefined);
}

function onePage(text: string, at: JobPath): Expanded {
  if (/^\d+$/.test(text)) {
    const number = Number(text);
    if (number >= 1 && number <= highestNumber && text.length <= 6)
      return { ids: [{ id: text, numbers: [number] }] };
    return {
      problem: wrong(at, `page ${text} is not possible`, `a number from 1 to ${highestNumber}`, 'page: 8'),
    };
  }
  const pair = firstAndLast(text);
  if (pair !== undefined) {
    const example = pair.last === pair.first + 1 ? `spread: ${pair.text}` : `pages: ${pair.text}`;
    return {
      problem: wrong(
        at,
        `page "${text}" is two numbers`,
        'pages for a range, spread for a double page',
        example,
      ),
    };
  }
  if (/^[\p{L}\p{N}][\p{L}\p{M}\p{N}]*(-[\p{L}\p{M}\p{N}]+)*$/u.test(text))
    return { ids: [{ id: text, numbers: [] }] };
  const expected = 'a number, or a name of letters and digits with single hyphens between';
  return { problem: wrong(at, `page "${text}" cannot be a name`, expected, 'page: back-cover') };
}

function range(text: string, at: JobPath, hasAliases: boolean): Expanded {
  // `pages: 1` means page 1 and nothing else.
  if (/^\d+$/.test(text)) return onePage(text, at);
  const pair = firstAndLast(text);
  if (pair === undefined) {
    return {
      problem: wrong(at, `pages "${text}" is not a range`, 'a first and a last number', 'pages: 1-5'),
    };
  }
  const problem = rangeProblem(pair, text, at);
  if (problem !== undefined) return { problem };
  if (hasAliases) {
    const where = [...at.slice(0, -1), 'aliases'];
    const expected = 'aliases on single pages and spreads';
    return { problem: wrong(where, 'aliases cannot name several pages', expected, 'aliases: [front]') };
  }
  const { first, last, width } = pair;
  const numbers = Array.from({ length: last - first + 1 }, (_, index) => first + index);
  return { ids: numbers.map((number) => ({ id: String(number).padStart(width, '0'), numbers: [number] })) };
}

function rangeProblem({ first, last }: FirstAndLast, text: string, at: JobPath): FoundProblem | undefined {
  if (first < 1 || last > highestNumber) {
    return wrong(at, `pages ${text} are not possible`, `numbers from 1 to ${highestNumber}`, 'pages: 1-5');
  }
  if (last < first) {
    return wrong(at, `pages ${text} run backwards`, 'the lower number first', `pages: ${last}-${first}`);
  }
  if (last - first >= mostPages) {
    return wrong(at, `pages ${text} are too many`, `at most ${mostPages} pages`, 'pages: 1-5');
  }
  return undefined;
}

function spread(text: string, at: JobPath): Expanded {
  const pair = firstAndLast(text);
  const expected = 'two numbers that follow each other';
  if (pair === undefined)
    return { problem: wrong(at, `spread "${text}" is not two pages`, expected, 'spread: 6-7') };
  const { first, last } = pair;
  if (first < 1 || last > highestNumber || last !== first + 1) {
    const example = first >= 1 && first < highestNumber ? `spread: ${first}-${first + 1}` : 'spread: 6-7';
    return { problem: wrong(at, `spread ${text} is not two facing pages`, expected, example) };
  }
  return { ids: [{ id: pair.text, numbers: [first, last] }] };
}

/** Two numbers as a range or a spread writes them. */
interface FirstAndLast {
  /** The number before the hyphen. */
  readonly first: number;
  /** The number behind it, not necessarily the higher one. */
  readonly last: number;
  /** Width of a first number that has leading zeros, else 0. */
  readonly width: number;
  /** Both as written, with a plain hyphen. */
  readonly text: string;
}

/** `6-7`, also with spaces or a longer dash. */
function firstAndLast(text: string): FirstAndLast | undefined {
  const match = /^(\d{1,6})\s*[-\u2010-\u2014]\s*(\d{1,6})$/.exec(text);
  if (match === null) return undefined;
  const [, first, last] = match;
  const width = first.startsWith('0') ? first.length : 0;
  return { first: Number(first), last: Number(last), width, text: `${first}-${last}` };
}

/** The cover that a name stands for, in any language; undefined for other pages. */
function coverOf(key: string): CoverId | undefined {
  return coverIds.find((id) => coverNames[id].some((name) => clashKey(name) === key));
}

/** The names of a cover in all languages, given by any of them; none for other pages. Common practice, no published source. */
function usualNames(key: string): readonly string[] {
  const cover = coverOf(key);
  return cover === undefined ? [] : coverNames[cover].filter((name) => clashKey(name) !== key);
}

/** Adds the usual names of covers, as far as the job gives them to no other page. */
function withDefaultAliases(pages: readonly ListedPage[]): ListedPage[] {
  const taken = new Set(pages.flatMap((page) => [page.id, ...page.aliases]).map(clashKey));
  return pages.map((page) => {
    const usual = page.numbers.length > 0 ? [] : usualNames(clashKey(page.id));
    const free = usual.filter((alias) => !taken.has(clashKey(alias)));
    for (const alias of free) taken.add(clashKey(alias));
    return { ...page, aliases: [...page.aliases, ...free] };
  });
}

/** The spread of which a reference is one page, by its number; undefined where there is none. */
export function spreadWith<P extends Pick<ListedPage, 'numbers'>>(
  pages: readonly P[],
  reference: string,
): P | undefined {
  const number = /^\s*\d+\s*$/.test(reference) ? Number(reference) : undefined;
  return pages.find(({ numbers }) => numbers.length === 2 && numbers.some((each) => each === number));
}

/**
 * The page that a reference means: its id in any case, its number with or without leading zeros, the two numbers of a
 * spread, or one of its aliases; undefined where there is none.
 */
export function findPage<P extends Pick<ListedPage, 'id' | 'numbers' | 'aliases'>>(
  pages: readonly P[],
  reference: string,
): P | undefined {
  const wanted = clashKey(reference.trim());
  const numbers = /^\d+([-\u2010-\u2014]\d+)?$/.test(wanted)
    ? wanted.split(/[-\u2010-\u2014]/).map(Number)
    : [];
  const sameNumbers = (page: P) =>
    numbers.length > 0 &&
    page.numbers.length === numbers.length &&
    page.numbers.every((n, i) => n === numbers[i]);
  return (
    pages.find((page) => clashKey(page.id) === wanted) ??
    pages.find(sameNumbers) ??
    pages.find((page) => page.aliases.some((alias) => clashKey(alias) === wanted))
  );
}
