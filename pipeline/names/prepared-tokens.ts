import { type NameToken, phraseKey, tokensOf } from './name-tokens.js';
import { isUnspaced, type NameWords } from './name-words.js';
import { isFree, mark, readPhrases } from './read-phrases.js';
import { emptyWords, numberWords, pageBehindWords, pageWords } from './trade-words.js';

const beyondAscii = /[^ -~]/;

/**
 * The tokens of a name as the rules read them: versions cut off the words that they touch, runs of kana and kanji cut
 * into words, what the job explains marked, numbers in words made numbers.
 */
export function preparedTokens(name: string, words: NameWords): NameToken[] {
  const whole = tokensOf(name, words.letters);
  const cut = beyondAscii.test(name) ? whole.flatMap((token) => cutUnspaced(token, words.unspaced)) : whole;
  const tokens = withVersionsCut(cut, words);
  readPhrases(tokens, words.said, words.longestPhrase, (role, from, to) => mark(tokens, from, to, role));
  return withNumbersRead(tokens);
}

/** `inksv2` and `coverr3` leave no gap before the version: cut the letter off where a known word remains. */
function withVersionsCut(tokens: readonly NameToken[], words: NameWords): NameToken[] {
  return tokens.flatMap((token, at) => {
    const next = tokens[at + 1];
    const stem = token.text.slice(0, -1);
    const isCut =
      next?.isNumber === true &&
      next.before === '' &&
      /^..+[vr]$/.test(token.text) &&
      (words.partWords.has(stem) || words.pageNames.has(stem) || emptyWords.has(stem));
    if (!isCut) return [token];
    const letter = { text: token.text.slice(-1), written: token.written.slice(-1), before: '' };
    return [
      { ...token, text: stem, written: token.written.slice(0, -1) },
      { ...token, ...letter },
    ];
  });
}

/** The longest word of kana and kanji that a run has at a place, at most this many signs. */
const longestUnspaced = 8;

/** `表紙カラー` has no space: cut it into known words, the longest first; what nobody knows stays in one piece. */
function cutUnspaced(token: NameToken, known: ReadonlySet<string>): NameToken[] {
  if (token.text.length < 2 || known.has(token.text) || !isUnspaced(token.text)) return [token];
  const pieces: { text: string; isKnown: boolean }[] = [];
  for (let at = 0; at < token.text.length; ) {
    let length = Math.min(longestUnspaced, token.text.length - at);
    while (length > 0 && !known.has(token.text.slice(at, at + length))) length -= 1;
    const last = pieces.at(-1);
    const text = token.text.slice(at, at + Math.max(1, length));
    if (length === 0 && last?.isKnown === false) last.text += text;
    else pieces.push({ text, isKnown: length > 0 });
    at += Math.max(1, length);
  }
  return pieces.map(({ text }, at) => ({
    ...token,
    text,
    written: text,
    before: at === 0 ? token.before : '',
  }));
}

/** A number in words has at most this many: vingt et un. */
const mostNumberWords = 3;

const isJoined = ({ before }: NameToken): boolean => /^[\s_.-]{0,2}$/.test(before);

/** The number that words from `from` on come to, and where they end; the longest first, so that twenty two is no twenty. */
function numberFrom(tokens: readonly NameToken[], from: number): { number: number; to: number } | undefined {
  for (let to = Math.min(tokens.length, from + mostNumberWords); to > from; to -= 1) {
    const run = tokens.slice(from, to);
    if (!run.every((token) => isFree(token) && !token.isNumber && isJoined(token))) continue;
    const number = numberWords.get(phraseKey(run));
    if (number !== undefined) return { number, to };
  }
  return undefined;
}

/** Whether the words at a place can be a page number: behind a page word, or before one of Japanese. */
function mayBeNumber(tokens: readonly NameToken[], from: number, to: number): boolean {
  const before = tokens[from - 1];
  const behind = tokens[to];
  if (isFree(before) && before.text.length > 1 && pageWords.has(before.text)) return true;
  return isUnspaced(tokens[from].text) && isFree(behind) && pageBehindWords.has(behind.text);
}

/** `page three` becomes `page 3`; words for numbers anywhere else stay words. */
function withNumbersRead(tokens: readonly NameToken[]): NameToken[] {
  const read: NameToken[] = [];
  for (let at = 0; at < tokens.length; at += 1) {
    const found = numberFrom(tokens, at);
    if (found === undefined || !mayBeNumber(tokens, at, found.to)) {
      read.push(tokens[at]);
      continue;
    }
    const digits = String(found.number);
    read.push({ ...tokens[at], text: digits, written: digits, isNumber: true });
    at = found.to - 1;
  }
  return read;
}
