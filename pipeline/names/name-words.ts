import { type IssuePage, type Job, type Part, parts } from '../../config/job.js';
import { type NameToken, phraseKey, tokensOf } from './name-tokens.js';

/**
 * The words that names are read with: some are the trade's own, the others come from the job. All lower case and
 * without accents, as name-tokens.ts gives them. Common practice in several languages, no published source.
 */

/** A number after one of these is a page number. */
export const pageWords: ReadonlySet<string> = new Set(
  (
    'p pp pg pgs page pages pag pags pagina paginas pagine seite seiten pl planche planches ' +
    'tav tavola tavole'
  ).split(' '),
);

/** A number after one of these is the issue's. */
export const issueWords: ReadonlySet<string> = new Set(['issue', 'iss']);

/** A number after one of these is a version. */
export const versionWords: ReadonlySet<string> = new Set(
  'v ver vers version versions rev revision'.split(' '),
);

/** A number after one of these counts something else: scenes, tries, a camera's pictures. */
export const countingWords: ReadonlySet<string> = new Set(
  (
    'scene scn sc sq seq sequence shot act chapter chap ch episode ep volume vol book bk season part pt ' +
    'panel pnl layer level stage step round pass take try test draft wip edit option opt alternate alt ' +
    'variant var day week of img image dsc dscn dcim pict pic photo scan screenshot untitled fig ' +
    'rgb srgb cmyk gray grey lab'
  ).split(' '),
);

/** A number after one of these tells one copy from another, whatever it is. */
export const copyWords: ReadonlySet<string> = new Set('copy copie kopie copia duplicate dup'.split(' '));

/** Words that tell neither a page nor a version; a single digit after them means as little. */
export const emptyWords: ReadonlySet<string> = new Set(
  'final finals new newest latest last approved ok okay done fixed'.split(' '),
);

/**
 * Words that tell one cover from another. Where one is left over beside a shorter cover name, the file may belong to
 * a cover that the page list does not have: `inside front cover` where it knows `front cover` only.
 */
export const coverWords: ReadonlySet<string> = new Set(
  'back rear inside inner outside outer interior wrap wraparound variant alternate alt'.split(' '),
);

/** What names of one issue are read with. */
export interface NameWords {
  /** Phrase to the ids of the pages that bear it; more than one where the job gives two pages one name. */
  readonly pageNames: ReadonlyMap<string, ReadonlySet<string>>;
  /** Page numbers with a hyphen between (`7`, `12-13`) to page ids. */
  readonly pageNumbers: ReadonlyMap<string, ReadonlySet<string>>;
  /** Each number of a spread to the id of the spread. */
  readonly spreads: ReadonlyMap<number, string>;
  readonly pages: ReadonlyMap<string, IssuePage>;
  /** Part word to its part; more than one where the job gives two parts one word. */
  readonly partWords: ReadonlyMap<string, ReadonlySet<Part>>;
  readonly longestPhrase: number;
  readonly issue: IssueCode | undefined;
  readonly issueNumber: number | undefined;
}

/** The issue code, cut into its letters and its number; `number` is undefined where it ends in letters. */
export interface IssueCode {
  readonly written: string;
  readonly key: string;
  readonly prefix: string;
  readonly number: string | undefined;
}

function addTo<T>(map: Map<string, Set<T>>, key: string, value: T): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, new Set([value]));
  else known.add(value);
}

/** Numbers of a phrase that has nothing else, such as `12-13`; undefined where it holds a word. */
function numbersOf(tokens: readonly NameToken[]): number[] | undefined {
  if (tokens.length === 0 || tokens.some((token) => !token.isNumber)) return undefined;
  return tokens.map((token) => Number(token.text));
}

/** Names a page by one phrase: by number where the phrase is numbers only, by its words otherwise. */
function addName(
  words: { names: Map<string, Set<string>>; numbers: Map<string, Set<string>> },
  phrase: string,
  page: string,
): void {
  const tokens = tokensOf(phrase);
  const numbers = numbersOf(tokens);
  if (numbers !== undefined) addTo(words.numbers, numbers.join('-'), page);
  else if (tokens.length > 0) addTo(words.names, phraseKey(tokens), page);
}

/** `back cover` is also written `cover back`; such a form counts only where no page bears it as its own. */
function addTurnedNames(names: Map<string, Set<string>>, pages: readonly IssuePage[]): void {
  const turned = new Map<string, Set<string>>();
  for (const page of pages) {
    for (const phrase of [page.id, ...page.aliases]) {
      const tokens = tokensOf(phrase);
      const last = tokens.at(-1);
      if (tokens.length < 2 || last?.text !== 'cover') continue;
      addTo(turned, phraseKey([last, ...tokens.slice(0, -1)]), page.id);
    }
  }
  for (const [key, ids] of turned) if (!names.has(key)) names.set(key, ids);
}

/** The issue code as names may carry it; undefined where reading it would swallow page numbers or versions. */
function issueCodeOf(issue: string): IssueCode | undefined {
  const tokens = tokensOf(issue);
  const last = tokens.at(-1);
  if (last === undefined || tokens.every((token) => token.isNumber)) return undefined;
  const prefix = phraseKey(tokens.slice(0, -1));
  const number = last.isNumber ? last.text : undefined;
  if (number !== undefined && (pageWords.has(prefix) || versionWords.has(prefix) || prefix === 'r')) {
    return undefined;
  }
  return { written: issue, key: phraseKey(tokens), prefix, number };
}

/** Collects the words of one job. Numbers are those of the pages, or of an id or alias that is all numbers. */
export function nameWords(job: Pick<Job, 'issue' | 'number' | 'pages' | 'partWords'>): NameWords {
  const names = new Map<string, Set<string>>();
  const numbers = new Map<string, Set<string>>();
  const spreads = new Map<number, string>();
  for (const page of job.pages) {
    if (page.numbers.length > 0) addTo(numbers, page.numbers.join('-'), page.id);
    if (page.numbers.length > 1) for (const number of page.numbers) spreads.set(number, page.id);
    for (const phrase of [page.id, ...page.aliases]) addName({ names, numbers }, phrase, page.id);
  }
  addTurnedNames(names, job.pages);
  const partWords = new Map<string, Set<Part>>();
  for (const part of parts) {
    for (const word of job.partWords[part]) addTo(partWords, phraseKey(tokensOf(word)), part);
  }
  partWords.delete('');
  return {
    pageNames: names,
    pageNumbers: numbers,
    spreads,
    pages: new Map(job.pages.map((page) => [page.id, page])),
    partWords,
    longestPhrase: Math.max(0, ...[...names.keys(), ...partWords.keys()].map((key) => key.length)),
    issue: issueCodeOf(job.issue),
    issueNumber: job.number,
  };
}

/**
 * Tells the part of a layer by its name: a whole word of the list anywhere in it (`Inks`, `line art 2`, `balloons_b`).
 * A name that speaks of two parts tells nothing.
 */
export function partReader(
  partWords: Readonly<Record<Part, readonly string[]>>,
): (name: string) => Part | undefined {
  const byWord = new Map<string, Part>();
  for (const [part, words] of Object.entries(partWords)) {
    for (const word of words) byWord.set(fold(word), part as Part);
  }
  return (name) => {
    const found = new Set<Part>();
    for (const word of wordsOf(name)) {
      const part = byWord.get(word);
      if (part !== undefined) found.add(part);
    }
    return found.size === 1 ? [...found][0] : undefined;
  };
}

function wordsOf(name: string): string[] {
  const apart = name.replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2').replace(/(\p{L})(\p{N})/gu, '$1 $2');
  const words = fold(apart)
    .split(/[^\p{L}]+/u)
    .filter((word) => word !== '');
  // `line art` is one word of the trade, written in two.
  const pairs = words.slice(1).map((word, i) => `${words[i]}${word}`);
  return [...words, ...pairs];
}

function fold(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
}
