import type { Part } from '../../config/job.js';
import { flatWords } from '../../config/words/language.js';

/**
 * Tells the part of a layer by its name: a whole word of the list anywhere in it (`Inks`, `line art 2`, `balloons_b`).
 * A name that speaks of two parts tells nothing. A layer called flat holds flat fills: nothing else in a layered file is
 * flattened.
 */
export function partReader(
  partWords: Readonly<Record<Part, readonly string[]>>,
): (name: string) => Part | undefined {
  const byWord = new Map<string, Part>();
  for (const word of flatWords) byWord.set(fold(word), 'flats');
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
  const words = fold(apart, ' ')
    .split(/[^\p{L}]+/u)
    .filter((word) => word !== '');
  // `line art` is one word of the trade, written in two.
  const pairs = words.slice(1).map((word, i) => `${words[i]}${word}`);
  return [...words, ...pairs];
}

/** Lower case without accents; phrases are compared in one piece. */
function fold(text: string, space = ''): string {
  return text
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .normalize('NFC')
    .toLowerCase()
    .replaceAll(' ', space);
}
