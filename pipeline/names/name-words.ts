import type { FilePart, IssuePage, Job, PartWords } from '../../config/job.js';
import type { OffPrintKind } from '../../config/words/language.js';
import { coverSynonyms } from '../../config/words/word-tables.js';
import { type NameToken, phraseKey, tokensOf } from './name-tokens.js';
import {
  coverPhrases,
  doubtfulWords,
  emptyPhrases,
  emptyWords,
  issueBehindWords,
  keyOf,
  noCodeWords,
  numberWords,
  offPrint,
  pageBehindWords,
  pageWords,
  sayingWords,
  selfExplained,
  versionWords,
} from './trade-words.js';

/** What of a job its names are read with. */
export type NamingJob = Pick<
  Job,
  'issue' | 'title' | 'number' | 'scenes' | 'pages' | 'partWords' | 'codes' | 'letters' | 'ignoreWords'
>;

/** What names of one issue are read with. */
export interface NameWords {
  /** Phrase to the ids of the pages that bear it; none for a cover that the list does not have, several for a shared name. */
  readonly pageNames: ReadonlyMap<string, ReadonlySet<string>>;
  /** Page numbers with a hyphen between (`7`, `12-13`) to page ids. */
  readonly pageNumbers: ReadonlyMap<string, ReadonlySet<string>>;
  /** Each number of a spread to the id of the spread. */
  readonly spreads: ReadonlyMap<number, string>;
  readonly pages: ReadonlyMap<string, IssuePage>;
  /** Part word to its part; more than one where the job gives two parts one word. */
  readonly partWords: ReadonlyMap<string, ReadonlySet<keyof PartWords>>;
  /** Words that may tell several parts, less those that the job settles. */
  readonly doubtful: ReadonlyMap<string, readonly FilePart[]>;
  /** Words for work that is not for print, less those that the job takes for something else. */
  readonly offPrint: ReadonlyMap<string, OffPrintKind>;
  /** Phrases that the job explains: words that mean nothing here, its scenes, and the title, as what they are read. */
  readonly said: ReadonlyMap<string, 'said' | 'title'>;
  /** Single words that say nothing where nothing else claims them: the trade's, those of title and scenes, the code's letters. */
  readonly explained: ReadonlySet<string>;
  /** The title and names of scenes that are one word, and a word for a part or for work that is not for print as well. */
  readonly oneWordNames: ReadonlySet<string>;
  /** Words that are no letters of another issue's code. */
  readonly noCode: ReadonlySet<string>;
  /** Letters that tell a part where they touch a page number. */
  readonly letters: ReadonlyMap<string, FilePart>;
  /** Every phrase that tells a page, a part or work that is not for print, to itself. */
  readonly phrases: ReadonlyMap<string, string>;
  readonly longestPhrase: number;
  /** Words that may stand in a run of kana and kanji, which has no spaces. */
  readonly unspaced: ReadonlySet<string>;
  /** The issue's code and the further codes that count as its own. */
  readonly codes: readonly IssueCode[];
  readonly issueNumber: number | undefined;
}

/** An issue code, cut into its letters and its number; `number` is undefined where it ends in letters. */
export interface IssueCode {
  readonly written: string;
  readonly key: string;
  readonly prefix: string;
  readonly number: string | undefined;
  /** Its letters are also a page word: `STR01` is then the code only in a name that tells its page besides. */
  readonly isPageWord: boolean;
}

function addTo<T>(map: Map<string, Set<T>>, key: string, value: T): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, new Set([value]));
  else known.add(value);
}

/** Names a page by one phrase: by number where the phrase is numbers only, by its words otherwise. */
function addName(
  words: { names: Map<string, Set<string>>; numbers: Map<string, Set<string>> },
  phrase: string,
  page: string,
): void {
  const tokens = tokensOf(phrase);
  if (tokens.length === 0) return;
  if (tokens.some((token) => !token.isNumber)) addTo(words.names, phraseKey(tokens), page);
  else addTo(words.numbers, tokens.map((token) => Number(token.text)).join('-'), page);
}

/**
 * Other forms of a page's name: `back cover` is also written `cover back`, `cover-b` also `cvr b` or `couverture b`. Such
 * a form counts only where no page bears it as its own.
 */
function addOtherForms(names: Map<string, Set<string>>, pages: readonly IssuePage[]): void {
  const found = new Map<string, Set<string>>();
  for (const page of pages) {
    for (const phrase of [page.id, ...page.aliases]) {
      const tokens = tokensOf(phrase);
      const at = tokens.findIndex(({ text }) => text === 'cover');
      if (tokens.length < 2 || at < 0) continue;
      if (at === tokens.length - 1) addTo(found, phraseKey([tokens[at], ...tokens.slice(0, -1)]), page.id);
      for (const word of coverSynonyms) {
        const other = tokens.map((token, each) => (each === at ? { ...token, text: keyOf(word) } : token));
        addTo(found, phraseKey(other), page.id);
      }
    }
  }
  for (const [key, ids] of found) if (!names.has(key)) names.set(key, ids);
}

/** An issue code as names may carry it; undefined where reading it would swallow page numbers or versions. */
function issueCodeOf(issue: string): IssueCode | undefined {
  const tokens = tokensOf(issue);
  const last = tokens.at(-1);
  if (last === undefined || tokens.every((token) => token.isNumber)) return undefined;
  const prefix = phraseKey(tokens.slice(0, -1));
  const number = last.isNumber ? last.text : undefined;
  if (number !== undefined && (versionWords.has(prefix) || prefix === 'r')) return undefined;
  const isPageWord = number !== undefined && pageWords.has(prefix);
  return { written: issue, key: phraseKey(tokens), prefix, number, isPageWord };
}

/** Part words of a job, keyed. Most are the same in every job: their keys are found once. */
const partKeys = new Map<string, string>();
function partKeyOf(word: string): string {
  const key = partKeys.get(word) ?? keyOf(word);
  partKeys.set(word, key);
  return key;
}

/** The longest title whose runs are looked for; a longer one is known by its single words. */
const longestTitle = 12;

/** Runs of two words or more of a title: `ink thief` in the title `The Ink Thief` is the title and no ink. */
function titleRuns(tokens: readonly NameToken[]): string[] {
  if (tokens.length > longestTitle) return [];
  const runs: string[] = [];
  for (let from = 0; from < tokens.length; from += 1) {
    for (let to = from + 2; to <= tokens.length; to += 1) runs.push(phraseKey(tokens.slice(from, to)));
  }
  return runs;
}

/** What the job explains in so many words, and the single words of its title and scenes. */
function explainedBy({ title, scenes, ignoreWords }: NamingJob, isTaken: (key: string) => boolean) {
  const titled = tokensOf(title);
  const sceneTexts = scenes.flatMap((scene) => [tokensOf(scene.id), tokensOf(scene.title)]);
  const explained = [...emptyPhrases, ...ignoreWords.map(keyOf)];
  const said = new Map<string, 'said' | 'title'>(explained.map((key) => [key, 'said']));
  for (const run of sceneTexts.flatMap(titleRuns)) if (!isTaken(run)) said.set(run, 'said');
  for (const run of titleRuns(titled)) if (!isTaken(run)) said.set(run, 'title');
  said.delete('');
  const single = [...titled, ...sceneTexts.flat()]
    .filter(({ isNumber }) => !isNumber)
    .map(({ text }) => text);
  const lone = [titled, ...sceneTexts].filter(({ length }) => length === 1).map(([{ text }]) => text);
  return { said, ownWords: new Set(single), lone };
}

/** The page list, by names and numbers. */
function pagesBy(pages: readonly IssuePage[]) {
  const names = new Map<string, Set<string>>();
  const numbers = new Map<string, Set<string>>();
  const spreads = new Map<number, string>();
  for (const page of pages) {
    if (page.numbers.length > 0) addTo(numbers, page.numbers.join('-'), page.id);
    if (page.numbers.length > 1) for (const number of page.numbers) spreads.set(number, page.id);
    for (const phrase of [page.id, ...page.aliases]) addName({ names, numbers }, phrase, page.id);
  }
  addOtherForms(names, pages);
  return { names, numbers, spreads };
}

/** The words of a map that the job does not use for something of its own. */
const less = <T>(
  words: ReadonlyMap<string, T>,
  ...own: readonly { has(key: string): boolean }[]
): Map<string, T> => new Map([...words].filter(([key]) => !own.some((each) => each.has(key))));

/** Words of jobs that were collected before: a job never changes once it is loaded. */
const collected = new WeakMap<NamingJob, NameWords>();

/** The words of one job. Numbers are those of the pages, or of an id or alias that is all numbers. */
export function nameWords(job: NamingJob): NameWords {
  const words = collected.get(job) ?? collectWords(job);
  collected.set(job, words);
  return words;
}

function collectWords(job: NamingJob): NameWords {
  const { names, numbers, spreads } = pagesBy(job.pages);
  const partWords = new Map<string, Set<keyof PartWords>>();
  for (const [part, words] of Object.entries(job.partWords)) {
    for (const word of words) addTo(partWords, partKeyOf(word), part as keyof PartWords);
  }
  partWords.delete('');
  const isTaken = (key: string) =>
    names.has(key) || partWords.has(key) || offPrint.has(key) || coverPhrases.has(key);
  const { said, ownWords, lone } = explainedBy(job, isTaken);
  const codes = [job.issue, ...job.codes].flatMap((code) => issueCodeOf(code) ?? []);
  for (const { prefix } of codes) ownWords.add(prefix);
  const doubtful = less(doubtfulWords, partWords, said);
  const passing = less(offPrint, partWords, said, names);
  const pageNames = new Map<string, ReadonlySet<string>>(names);
  for (const key of coverPhrases) if (!names.has(key)) pageNames.set(key, new Set());
  const telling = [pageNames, partWords, doubtful, passing].flatMap((map) => [...map.keys()]);
  const all = [...telling, ...said.keys()];
  return {
    pageNames,
    pageNumbers: numbers,
    spreads,
    pages: new Map(job.pages.map((page) => [page.id, page])),
    partWords,
    doubtful,
    offPrint: passing,
    said,
    explained: new Set([...selfExplained, ...ownWords]),
    oneWordNames: new Set(lone.filter((key) => [partWords, doubtful, passing].some((map) => map.has(key)))),
    noCode: new Set([...noCodeWords, ...ownWords]),
    letters: new Map(Object.entries(job.letters)),
    phrases: new Map(telling.map((key) => [key, key])),
    longestPhrase: Math.max(0, ...all.map((key) => key.length)),
    unspaced: new Set([...all, ...ownWords, ...unspacedTrade].filter((key) => isUnspaced(key))),
    codes,
    issueNumber: job.number,
  };
}

/** Whether a word is of kana and kanji. */
export const isUnspaced = (text: string): boolean => /^[\p{Lo}\p{Lm}〇]+$/u.test(text);

const unspacedTrade = [
  ...pageWords,
  ...pageBehindWords,
  ...issueBehindWords,
  ...versionWords,
  ...emptyWords,
  ...sayingWords,
  ...numberWords.keys(),
].filter(isUnspaced);
