import { type Answer, doubtful } from './answers.js';
import type { NameClaims } from './file-name.js';
import type { NameWords } from './name-words.js';
import { weighNumbers } from './page-numbers.js';
import { leftWords, rightWords } from './trade-words.js';

/** Which half of a spread a name tells: by the number of its page, or by a word. */

/** Words that say half, and not which. */
export const bareHalfWords: ReadonlySet<string> = new Set(['half']);

/** Whether numbers are one page of a spread. */
export function isHalfOf(numbers: readonly number[], spread: string, words: NameWords): boolean {
  return numbers.length === 1 && words.spreads.get(numbers[0]) === spread;
}

/** The halves that one name tells, by page number. */
function halvesIn(claims: NameClaims, spread: string, words: NameWords): Set<number> {
  const told = new Set<number>();
  const pages = words.pages.get(spread)?.numbers ?? [];
  const verdict = weighNumbers(claims.numbers, words);
  if (verdict.kind === 'one' && isHalfOf(verdict.claim.numbers, spread, words)) {
    told.add(verdict.claim.numbers[0]);
  }
  for (const word of claims.leftOver) {
    if (leftWords.has(word)) told.add(pages[0]);
    if (rightWords.has(word)) told.add(pages[1]);
  }
  return told;
}

/** A word that says half of a spread where nothing in the name says which; undefined where there is none. */
export function bareHalf(claims: NameClaims, spread: string, words: NameWords): string | undefined {
  if (halvesIn(claims, spread, words).size > 0) return undefined;
  return claims.leftOver.find((word) => bareHalfWords.has(word));
}

/**
 * The half of a spread that a file is, by the page number of that half. The file's own name goes before its folders'.
 * @param names the file's claims, then those of its folders
 */
export function halfOf(names: readonly NameClaims[], spread: string, words: NameWords): Answer<number> {
  if (words.pages.get(spread)?.numbers.length !== 2) return { kind: 'silent' };
  const [own, ...folders] = names.map((claims) => halvesIn(claims, spread, words));
  const told = own.size > 0 ? own : new Set(folders.flatMap((each) => [...each]));
  const [half] = told;
  if (told.size === 0) return { kind: 'silent' };
  if (told.size === 1) return { kind: 'certain', value: half, rule: `page ${half} of it` };
  const rule = `tells both halves of the spread ${spread}`;
  return doubtful(rule, [spread], 'Name it by one page number, or by both for the whole spread');
}
