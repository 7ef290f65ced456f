import type { IssuePage } from '../../config/job.js';
import { clashKey } from '../../config/portable-name.js';
import { plainTables } from '../../config/words/word-tables.js';

/** How people name a page in a note: `7`, `007`, `p. 7`, `#7`, `pages 6/7`, `Cover Front`. */

/** What of a page its names are. */
export type NamedPage = Pick<IssuePage, 'id' | 'numbers' | 'aliases'>;

/** Pages by everything that they are called. */
export class PageWords<P extends NamedPage> {
  private readonly byName = new Map<string, P>();
  private readonly byNumbers = new Map<string, P>();
  /** Names of several words in any order; undefined where two pages share them. */
  private readonly byWords = new Map<string, P | undefined>();

  constructor(pages: readonly P[]) {
    for (const page of pages) {
      for (const name of [page.id, ...page.aliases]) {
        const key = clashKey(name);
        if (!this.byName.has(key) || key === clashKey(page.id)) this.byName.set(key, page);
        this.addWords(name, page);
      }
      if (page.numbers.length > 0) this.byNumbers.set(page.numbers.join('-'), page);
    }
    // Half of a spread means the spread, unless the list has that page by itself.
    for (const page of pages) {
      for (const number of page.numbers) {
        if (!this.byNumbers.has(String(number))) this.byNumbers.set(String(number), page);
      }
    }
  }

  /** The page that a text means; undefined for none, and where it may be two. */
  find(text: string): P | undefined {
    const bare = clashKey(text.replace(/^#\s*/, '').trim());
    return this.named(bare) ?? this.named(withoutPageWord(bare));
  }

  private named(name: string): P | undefined {
    return this.byName.get(name) ?? this.byNumbers.get(numbersOf(name)) ?? this.byWords.get(wordsOf(name));
  }

  private addWords(name: string, page: P): void {
    const key = wordsOf(clashKey(name));
    if (key === '') return;
    const isShared = this.byWords.has(key) && this.byWords.get(key) !== page;
    this.byWords.set(key, isShared ? undefined : page);
  }
}

/** Abbreviations and plurals beside the words of all languages; common practice, no published source. */
const pageWords: ReadonlySet<string> = new Set([...plainTables.page, 'pages', 'pp', 'spread', 'seiten']);

/** `p. 7` and `p7` without the word before the number. */
function withoutPageWord(name: string): string {
  const [, word, rest] = /^(\p{L}+)[.:]?\s*(\d.*)$/u.exec(name) ?? [];
  return word !== undefined && pageWords.has(word) ? rest : name;
}

/** `07` as `7`, `6/7` as `6-7`; empty for what is no number. */
function numbersOf(name: string): string {
  const [, first, last] = /^(\d{1,6})(?:\s*[-\u2010-\u2015/+&]\s*(\d{1,6}))?$/.exec(name) ?? [];
  if (first === undefined) return '';
  return last === undefined ? String(Number(first)) : `${Number(first)}-${Number(last)}`;
}

/** The words of a name in an order of their own; empty for a name of one word. */
function wordsOf(name: string): string {
  const words = name.split(/[\s_-]+/).filter((word) => word !== '');
  return words.length < 2 || /\d/.test(name) ? '' : words.sort().join(' ');
}
