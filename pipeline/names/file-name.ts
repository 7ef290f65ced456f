import type { Part } from '../../config/job.js';
import { longerKey, type NameToken, tokensOf } from './name-tokens.js';
import { emptyWords, issueWords, type NameWords, versionWords } from './name-words.js';
import { type NumberClaim, numberClaims } from './page-numbers.js';

/** A version mark as a name carries it. */
export interface VersionMark {
  /** Undefined where it cannot be put in order, such as v2.10. */
  readonly version: number | undefined;
  readonly written: string;
}

/** What one file or folder name says, word by word; nothing is decided yet. */
export interface NameClaims {
  /** Code or number of another issue that the name carries, as written; undefined where it carries none. */
  readonly otherIssue: string | undefined;
  /** Ids of the pages whose names stand in it, each with the words that say so. */
  readonly pageNames: ReadonlyMap<string, string>;
  readonly numbers: readonly NumberClaim[];
  readonly parts: ReadonlyMap<Part, string>;
  readonly versions: readonly VersionMark[];
  /** Words that nothing has claimed, lower case; words that never mean anything are left out. */
  readonly leftOver: readonly string[];
  /** A lone letter right behind a page name, as in `cover b`. */
  readonly letterAfterName: string;
}

/** Versions beyond this many digits are counters or damage, and numbers of that size lose their last digits. */
const maxVersionDigits = 9;

const asWritten = (tokens: readonly NameToken[], from: number, to: number): string =>
  tokens
    .slice(from, to)
    .map((token, at) => (at === 0 ? token.written : token.before + token.written))
    .join('');

function mark(tokens: readonly NameToken[], from: number, to: number, role: NameToken['role']): void {
  for (let at = from; at < to; at += 1) tokens[at].role = role;
}

/** Whether the tokens can be the issue's letters followed by a number that belongs to them. */
function isCodeNumber(token: NameToken | undefined): token is NameToken {
  return (
    token?.isNumber === true &&
    token.role === undefined &&
    !token.isBracketed &&
    token.written.length <= 4 &&
    /^[\s._#-]{0,3}$/.test(token.before) &&
    !/^(19|20)\d\d$/.test(token.written)
  );
}

/** Marks the issue code; returns another issue's code where the name carries one with the same letters. */
function readIssueCode(tokens: readonly NameToken[], words: NameWords): string | undefined {
  const code = words.issue;
  if (code === undefined) return undefined;
  let other: string | undefined;
  for (let from = 0; from < tokens.length; from += 1) {
    let key = '';
    for (let to = from + 1; to <= tokens.length && key.length < code.key.length; to += 1) {
      key = longerKey(key, tokens, to - 1);
      if (key === code.key) mark(tokens, from, to, 'issue');
      const number = tokens[to];
      if (code.number === undefined || key !== code.prefix || !isCodeNumber(number)) continue;
      if (number.text === code.number) continue;
      other ??= asWritten(tokens, from, to + 1);
      mark(tokens, from, to + 1, 'issue');
    }
  }
  return other;
}

/** Marks `#4` and `issue 4`; returns the words where they give another number than the job's. */
function readIssueNumber(tokens: readonly NameToken[], words: NameWords): string | undefined {
  let other: string | undefined;
  for (let at = 0; at < tokens.length; at += 1) {
    const token = tokens[at];
    const before = tokens[at - 1];
    if (!isCodeNumber(token)) continue;
    const hasWord = before !== undefined && issueWords.has(before.text);
    const hasSign =
      /#\s?$/.test(token.before) && !(before !== undefined && /^(p|pg|page)$/.test(before.text));
    if (!hasWord && !hasSign) continue;
    mark(tokens, hasWord ? at - 1 : at, at + 1, 'issue');
    if (words.issueNumber === undefined || Number(token.text) === words.issueNumber) continue;
    other ??= hasWord ? asWritten(tokens, at - 1, at + 1) : `#${token.written}`;
  }
  return other;
}

/** Marks phrases from the left, the longest first at each place, so that `back cover` is never `cover`. */
function readPhrases<T>(
  tokens: readonly NameToken[],
  phrases: ReadonlyMap<string, T>,
  longest: number,
  found: (value: T, from: number, to: number) => void,
): void {
  for (let from = 0; from < tokens.length; from += 1) {
    let end = 0;
    let key = '';
    let value: T | undefined;
    for (let to = from + 1; to <= tokens.length; to += 1) {
      if (tokens[to - 1].role !== undefined) break;
      key = longerKey(key, tokens, to - 1);
      if (key.length > longest) break;
      const here = phrases.get(key);
      if (here === undefined) continue;
      value = here;
      end = to;
    }
    if (value === undefined) continue;
    found(value, from, end);
    from = end - 1;
  }
}

/** Marks `v2`, `ver 2`, `version-2`, `rev3` and `r3`; a lone r counts only where it touches its number. */
function readVersions(tokens: readonly NameToken[]): VersionMark[] {
  const versions: VersionMark[] = [];
  for (let at = 1; at < tokens.length; at += 1) {
    const word = tokens[at - 1];
    const token = tokens[at];
    if (!token.isNumber || token.role !== undefined || word.role !== undefined) continue;
    const isMark = versionWords.has(word.text) && /^[\s._-]{0,2}$/.test(token.before);
    if (!isMark && !(word.text === 'r' && token.before === '')) continue;
    const minor = tokens[at + 1];
    const hasMinor = minor?.isNumber === true && minor.before === '.';
    const end = hasMinor ? at + 2 : at + 1;
    const isOrdered = token.text.length <= maxVersionDigits && (!hasMinor || minor.written.length === 1);
    const version = Number(hasMinor ? `${token.text}.${minor.text}` : token.text);
    versions.push({ version: isOrdered ? version : undefined, written: asWritten(tokens, at - 1, end) });
    mark(tokens, at - 1, end, 'version');
  }
  return versions;
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

/** Reads one file name (without folders and extension) or one folder name into what it claims. */
export function readName(name: string, words: NameWords): NameClaims {
  const tokens = withVersionsCut(tokensOf(name), words);
  const otherCode = readIssueCode(tokens, words);
  const otherNumber = readIssueNumber(tokens, words);
  const pageNames = new Map<string, string>();
  let letterAfterName = '';
  readPhrases(tokens, words.pageNames, words.longestPhrase, (pages, from, to) => {
    for (const page of pages) pageNames.set(page, asWritten(tokens, from, to));
    mark(tokens, from, to, 'page name');
  });
  const versions = readVersions(tokens);
  const parts = new Map<Part, string>();
  readPhrases(tokens, words.partWords, words.longestPhrase, (found, from, to) => {
    for (const part of found) parts.set(part, asWritten(tokens, from, to));
    mark(tokens, from, to, 'part');
  });
  const numbers = numberClaims(tokens, words);
  tokens.forEach((token, at) => {
    const isLetter = token.role === undefined && /^[a-z]$/.test(token.text);
    if (isLetter && tokens[at - 1]?.role === 'page name') letterAfterName = token.text;
  });
  const leftOver = tokens
    .filter((token) => token.role === undefined && !emptyWords.has(token.text))
    .map((token) => token.text);
  return {
    otherIssue: otherCode ?? otherNumber,
    pageNames,
    numbers,
    parts,
    versions,
    leftOver,
    letterAfterName,
  };
}
