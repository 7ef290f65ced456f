import { describe, expect, it } from 'vitest';
import { parts } from '../../../config/job.js';
import { builtInPartWords, doubtfulPartWords } from '../../../config/job-file/part-words.js';
import { coverIds, listed } from '../../../config/words/language.js';
import {
  coverNames,
  languages,
  numberWords,
  offPrintWords,
  plainTables,
} from '../../../config/words/word-tables.js';

/** What spellings of a word have in common, as names are compared. */
const spelling = (word: string) =>
  word
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[^\p{L}\p{M}\p{N}]/gu, '');

describe('the words of all languages', () => {
  it('a word says one thing only: a part, a cover, work that is not for print, or that a page is finished', () => {
    const said = new Map<string, Set<string>>();
    const say = (what: string, words: Iterable<string>) => {
      for (const word of words) said.set(spelling(word), (said.get(spelling(word)) ?? new Set()).add(what));
    };
    for (const part of parts) say(part, builtInPartWords[part]);
    for (const id of coverIds) say(id, coverNames[id]);
    for (const [word, kind] of offPrintWords) say(kind, [word]);
    for (const table of ['page', 'issue', 'version', 'finished', 'copy'] as const)
      say(table, plainTables[table]);
    say('doubtful', doubtfulPartWords.keys());
    const twice = [...said].filter(([, what]) => what.size > 1).map(([word, what]) => [word, ...what]);
    expect(twice).toEqual([]);
  });

  it.each(Object.entries(languages))('%s has every part, every cover, and counts to thirty', (_, words) => {
    for (const part of parts) expect(listed(words.parts[part])).not.toEqual([]);
    for (const id of coverIds) expect(listed(words.covers[id])).not.toEqual([]);
    expect(listed(words.numbers)).toHaveLength(30);
    for (const kind of [
      'pencils',
      'a sketch',
      'a layout',
      'a reference',
      'a thumbnail',
      'a preview',
    ] as const) {
      expect(listed(words.offPrint[kind]), kind).not.toEqual([]);
    }
  });

  it('no word stands for two numbers', () => {
    const numbers = new Map<string, number>();
    for (const [word, number] of numberWords) {
      expect(numbers.get(spelling(word)) ?? number, word).toBe(number);
      numbers.set(spelling(word), number);
    }
  });

  it('every word is written in lower case', () => {
    const all = Object.values(languages).flatMap(({ parts: own, finished }) => [
      ...Object.values(own),
      finished,
    ]);
    expect(all.map((words) => words.toLowerCase())).toEqual(all);
  });
});
