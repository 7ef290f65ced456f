import { gap, type NameToken } from './name-tokens.js';
import type { NameWords } from './name-words.js';
import { isFree } from './read-phrases.js';
import { copyWords, countingWords, emptyWords, pageBehindWords, pageWords } from './trade-words.js';

/**
 * How plainly a number says that it is a page, plainest first. `glued` touches a word (`Harbour07`); `loose` touches
 * a short one or has one digit (`x2`, `inks3`) and never tells a page.
 */
export type NumberStrength = 'page word' | 'after the issue code' | 'bare' | 'glued' | 'loose';

/** One number, or several that belong together such as `12-13`, and why it may be a page. */
export interface NumberClaim {
  readonly numbers: readonly number[];
  readonly strength: NumberStrength;
  /** The word before it, where the strength comes from a word. */
  readonly word: string;
  /** A lone letter that touches the last number, such as the b of `7b`; empty where there is none. */
  readonly letter: string;
}

/** Page lists hold up to four digits; longer numbers are dates and counters. */
const maxDigits = 4;
const plainRange = /^[-~,&+\u2010-\u2015\u2212]p?$|^p$/;
/** Shorter words before a number are more often marks (`x2`, `a4`, `sh07`) than titles. */
const shortestTitle = 3;
const fewestDigits = 2;

/** Whether a token may be a page number at all. */
function mayBePage(token: NameToken | undefined): token is NameToken {
  return isFree(token) && token.isNumber && token.written.length <= maxDigits;
}

/**
 * Whether two numbers are one statement. A plain range sign joins them when they follow each other or both are on the
 * page list, an underscore when they follow each other, a space only when the list has that very spread.
 */
function areJoined(first: number, second: number, link: string, words: NameWords): boolean {
  if (link.includes(gap)) return false;
  if (words.pageNumbers.has(`${first}-${second}`)) return true;
  const follows = second === first + 1;
  const sign = link.replace(/[\s._]/g, '');
  if (sign === '') return follows && link.includes('_');
  if (!plainRange.test(sign)) return false;
  return follows || (second > first && words.pageNumbers.has(String(second)));
}

/**
 * What may link the number before `at` to the next one, and where that one stands: `-`, `&`, `and`, or a second page
 * word where the first number has one (`p12p13`).
 */
function linkFrom(tokens: readonly NameToken[], at: number, isWorded: boolean) {
  let next = at;
  let link = tokens[next]?.before ?? '';
  if (isFree(tokens[next]) && tokens[next].text === 'and') {
    next += 1;
    link += `&${tokens[next]?.before ?? ''}`;
  }
  if (isWorded && isFree(tokens[next]) && pageWords.has(tokens[next].text)) {
    next += 1;
    link += `p${tokens[next]?.before ?? ''}`;
  }
  return { link, next };
}

/** The numbers from `at` on that belong together, and where they end. Marks them as read. */
function readChain(tokens: readonly NameToken[], at: number, isWorded: boolean, words: NameWords) {
  const numbers = [Number(tokens[at].text)];
  tokens[at].role = 'number';
  let end = at + 1;
  for (;;) {
    const { link, next } = linkFrom(tokens, end, isWorded);
    const token = tokens[next];
    if (!mayBePage(token) || token.isBracketed) break;
    if (!areJoined(numbers[numbers.length - 1], Number(token.text), link, words)) break;
    for (let passed = end; passed <= next; passed += 1) tokens[passed].role = 'number';
    numbers.push(Number(token.text));
    end = next + 1;
  }
  const after = tokens[end];
  const isLoneLetter = isFree(after) && after.before === '' && /^[a-z]$/.test(after.text);
  return { numbers, end, letter: isLoneLetter ? after.text : '' };
}

/** Whether a page word stands right before the number; nothing but separators may come between. */
function hasPageWord(token: NameToken, before: NameToken | undefined): boolean {
  return isFree(before) && pageWords.has(before.text) && /^[\s._#([-]{0,3}$/.test(token.before);
}

/** Whether a page word touches the number from behind: `7ページ`. */
function hasPageWordBehind(behind: NameToken | undefined): boolean {
  return isFree(behind) && behind.before === '' && pageBehindWords.has(behind.text);
}

/** Whether the number counts something else: scenes, copies, years, the pictures of a camera. */
function countsOther(token: NameToken, before: NameToken | undefined, words: NameWords): boolean {
  if (token.isBracketed) return true;
  if (/^(19|20)\d\d$/.test(token.written) && !words.pageNumbers.has(token.text)) return true;
  if (before?.role === 'off print') return true;
  if (!isFree(before) || token.before.includes(gap)) return false;
  if (countingWords.has(before.text) || copyWords.has(before.text)) return true;
  return emptyWords.has(before.text) && token.written.length === 1;
}

/** How plainly the number at hand tells a page; undefined where it tells none. */
function strengthOf(
  token: NameToken,
  before: NameToken | undefined,
  behind: NameToken | undefined,
  words: NameWords,
): NumberStrength | undefined {
  if (hasPageWord(token, before) || hasPageWordBehind(behind)) return 'page word';
  if (countsOther(token, before, words)) return undefined;
  if (before === undefined || token.before.includes(gap)) return 'bare';
  if (before.role === 'issue') return 'after the issue code';
  if (token.before !== '' || before.isNumber) return 'bare';
  return before.text.length >= shortestTitle && token.written.length >= fewestDigits ? 'glued' : 'loose';
}

/** Every number of a name that may tell a page, in the order of the name. */
export function numberClaims(tokens: readonly NameToken[], words: NameWords): NumberClaim[] {
  const claims: NumberClaim[] = [];
  for (let at = 0; at < tokens.length; at += 1) {
    const token = tokens[at];
    const before = tokens[at - 1];
    if (!mayBePage(token)) continue;
    const strength = strengthOf(token, before, tokens[at + 1], words);
    if (strength === undefined) continue;
    const chain = readChain(tokens, at, strength === 'page word', words);
    const word = hasPageWord(token, before) ? before : tokens[chain.end];
    if (strength === 'page word' && word !== undefined) word.role = 'number';
    claims.push({
      numbers: chain.numbers,
      strength,
      word: (word ?? before)?.written ?? '',
      letter: chain.letter,
    });
    at = chain.end - 1;
  }
  return claims;
}

/** What the numbers of one name come to: one claim, several that disagree, or none. */
export type NumberVerdict =
  | { readonly kind: 'one'; readonly claim: NumberClaim }
  | { readonly kind: 'several'; readonly claims: readonly NumberClaim[] }
  | { readonly kind: 'none' };

const keyOf = (claim: NumberClaim): string => claim.numbers.join('-');

function verdictOf(claims: readonly NumberClaim[]): NumberVerdict {
  const distinct = [...new Map(claims.map((claim) => [keyOf(claim), claim])).values()];
  if (distinct.length === 0) return { kind: 'none' };
  return distinct.length === 1 ? { kind: 'one', claim: distinct[0] } : { kind: 'several', claims: distinct };
}

/**
 * Weighs the numbers of a name. A page word decides alone. The number after the issue code comes next, unless another
 * bare number is a page of the list too: `SHN04_02_07` may be scene 2, page 7. Then come bare numbers, and last a
 * number of two digits or more that touches a word, as in `Harbour07`.
 */
export function weighNumbers(claims: readonly NumberClaim[], words: NameWords): NumberVerdict {
  const of = (strength: NumberStrength) => claims.filter((claim) => claim.strength === strength);
  const worded = of('page word');
  if (worded.length > 0) return verdictOf(worded);
  const coded = of('after the issue code');
  const bare = of('bare');
  if (coded.length > 0) {
    return verdictOf([...coded, ...bare.filter((claim) => words.pageNumbers.has(keyOf(claim)))]);
  }
  if (bare.length > 0) return verdictOf(bare);
  return verdictOf(of('glued'));
}
