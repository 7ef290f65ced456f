import type { FilePart, PartWords } from '../../config/job.js';
import type { OffPrintKind } from '../../config/words/language.js';
import type { NameToken } from './name-tokens.js';
import type { NameWords } from './name-words.js';
import { type OtherIssue, readIssueCodes, readIssueNumber, strangeCode } from './other-issue.js';
import { type NumberClaim, numberClaims } from './page-numbers.js';
import { preparedTokens } from './prepared-tokens.js';
import { asWritten, isFree, mark, readPhrases } from './read-phrases.js';
import { emptyWords, versionWords, withoutWords } from './trade-words.js';

/** A version mark as a name carries it. */
export interface VersionMark {
  /** Undefined where it cannot be put in order, such as v2.10. */
  readonly version: number | undefined;
  readonly written: string;
}

/** A word of a name, and what it stands for. */
export interface Told<T> {
  readonly means: T;
  readonly written: string;
}

/** What one file or folder name says, word by word; nothing is decided yet. */
export interface NameClaims {
  /** Code or number of another issue that the name carries; undefined where it carries none. */
  readonly otherIssue: OtherIssue | undefined;
  /** A code that nobody has explained. */
  readonly strangeCode: OtherIssue | undefined;
  /** Words of covers that the page list does not have. */
  readonly unlistedCovers: readonly string[];
  /** Ids of the pages whose names stand in it, each with the words that say so. */
  readonly pageNames: ReadonlyMap<string, string>;
  readonly numbers: readonly NumberClaim[];
  /** Parts that its words tell, each with the word. */
  readonly parts: ReadonlyMap<keyof PartWords, string>;
  /** Words that may tell several parts. */
  readonly doubtful: readonly Told<readonly FilePart[]>[];
  /** Words that may be the title or a scene, or tell a part. */
  readonly names: readonly Told<readonly FilePart[]>[];
  /** Words for work that is not for print. */
  readonly offPrint: readonly Told<OffPrintKind>[];
  readonly versions: readonly VersionMark[];
  /** Words that nothing has claimed, lower case; words that never mean anything are left out. */
  readonly leftOver: readonly string[];
  /** Of these the words that nobody has explained, as written: they may say anything. */
  readonly unexplained: readonly string[];
  /** A lone letter right behind a page name, as in `cover b`. */
  readonly letterAfterName: string;
}

/** Versions beyond this many digits are counters or damage, and numbers of that size lose their last digits. */
const maxVersionDigits = 9;

/** Marks `v2`, `ver 2`, `version-2`, `rev3`, `r3` and `第2版`; a lone r counts only where it touches its number. */
function readVersions(tokens: readonly NameToken[]): VersionMark[] {
  const versions: VersionMark[] = [];
  for (let at = 0; at < tokens.length; at += 1) {
    const token = tokens[at];
    if (!token.isNumber || !isFree(token)) continue;
    const span = versionSpan(tokens, at);
    if (span === undefined) continue;
    const { from, to, minor } = span;
    const isOrdered =
      token.text.length <= maxVersionDigits && (minor === undefined || minor.written.length === 1);
    const version = Number(minor === undefined ? token.text : `${token.text}.${minor.text}`);
    versions.push({ version: isOrdered ? version : undefined, written: asWritten(tokens, from, to) });
    mark(tokens, from, to, 'version');
  }
  return versions;
}

/** Where a version mark with its number at a place begins and ends; undefined where the number is none. */
function versionSpan(tokens: readonly NameToken[], at: number) {
  const [word, token, behind] = [tokens[at - 1], tokens[at], tokens[at + 1]];
  if (isFree(behind) && behind.text === '版' && behind.before === '')
    return { from: at, to: at + 2, minor: undefined };
  if (!isFree(word) || word.isNumber) return undefined;
  const isMark = versionWords.has(word.text) && /^[\s._-]{0,2}$/.test(token.before);
  if (!isMark && !(word.text === 'r' && token.before === '')) return undefined;
  const minor = behind?.isNumber === true && behind.before === '.' ? behind : undefined;
  return { from: at - 1, to: minor === undefined ? at + 1 : at + 2, minor };
}

/** `Noir_p07` in an issue titled Noir: at the beginning, or behind the issue's code, its title is no part. */
function markOneWordName(tokens: readonly NameToken[], { oneWordNames }: NameWords): void {
  const at = tokens.findIndex(({ role }) => role !== 'issue');
  if (at >= 0 && at < tokens.length - 1 && isFree(tokens[at]) && oneWordNames.has(tokens[at].text))
    mark(tokens, at, at + 1, 'title');
}

/** The whole page, where a word is only the title or a scene, or what else it may tell. */
const nameOr = (means: readonly FilePart[]): FilePart[] => [...new Set<FilePart>(['whole', ...means])];

/** What the phrases of a name tell. */
function readWords(tokens: readonly NameToken[], words: NameWords) {
  const pageNames = new Map<string, string>();
  const parts = new Map<keyof PartWords, string>();
  const doubtful: Told<readonly FilePart[]>[] = [];
  const names: Told<readonly FilePart[]>[] = [];
  const offPrint: Told<OffPrintKind>[] = [];
  const unlistedCovers: string[] = [];
  readPhrases(tokens, words.phrases, words.longestPhrase, (key, from, to) => {
    const written = asWritten(tokens, from, to);
    const pages = words.pageNames.get(key);
    const kind = words.offPrint.get(key);
    const meant = words.doubtful.get(key);
    // `no text` is a page without its lettering, and no lettering: nobody has explained such a name.
    if (pages === undefined && kind === undefined && withoutWords.has(tokens[from - 1]?.text)) return;
    if (pages?.size === 0) unlistedCovers.push(written);
    for (const page of pages ?? []) pageNames.set(page, written);
    // Elsewhere in a name it may be either: people are asked.
    const isName = pages === undefined && words.oneWordNames.has(key);
    if (isName) names.push({ means: nameOr(meant ?? [...(words.partWords.get(key) ?? [])]), written });
    else if (pages === undefined && kind !== undefined) offPrint.push({ means: kind, written });
    if (!isName && pages === undefined && kind === undefined) {
      for (const part of words.partWords.get(key) ?? []) parts.set(part, written);
      if (meant !== undefined) doubtful.push({ means: meant, written });
    }
    mark(tokens, from, to, pages !== undefined ? 'page name' : kind !== undefined ? 'off print' : 'part');
  });
  return { pageNames, parts, doubtful, names, offPrint, unlistedCovers };
}

/** Letters behind page numbers that the job gives a meaning: the numbers without them, and the parts they tell. */
function readLetters(
  claims: readonly NumberClaim[],
  { letters }: NameWords,
  parts: Map<keyof PartWords, string>,
): NumberClaim[] {
  return claims.map((claim) => {
    const part = letters.get(claim.letter);
    if (part === undefined) return claim;
    if (part !== 'whole') parts.set(part, `${claim.numbers.join('-')}${claim.letter}`);
    return { ...claim, letter: '' };
  });
}

/** Paper sizes, A2 to A6 and B2 to B6: the letter is explained. */
const isPaperSize = (token: NameToken, next: NameToken | undefined): boolean =>
  /^[ab]$/.test(token.text) && next?.before === '' && /^[2-6]$/.test(next.written);

/** Whether a word that nothing has claimed says nothing about page and part. */
function isExplained(tokens: readonly NameToken[], at: number, words: NameWords): boolean {
  const token = tokens[at];
  if (token.isNumber || isPaperSize(token, tokens[at + 1])) return true;
  return words.explained.has(token.text);
}

/** Words that nothing has claimed, and those of them that nobody has explained. */
function leftOverOf(tokens: readonly NameToken[], words: NameWords, letters: ReadonlySet<NameToken>) {
  const free = tokens
    .map((token, at) => ({ token, at }))
    .filter(({ token }) => isFree(token) && !letters.has(token));
  const left = free.filter(({ token }) => !emptyWords.has(token.text));
  return {
    leftOver: left.map(({ token }) => token.text),
    unexplained: left.filter(({ at }) => !isExplained(tokens, at, words)).map(({ token }) => token.written),
  };
}

/** Letters that touch a page number: they belong to it, whatever they mean. */
const lettersBehindNumbers = (tokens: readonly NameToken[]): Set<NameToken> =>
  new Set(
    tokens.filter(
      (token, at) => /^[a-z]$/.test(token.text) && token.before === '' && tokens[at - 1]?.role === 'number',
    ),
  );

/**
 * Reads one file name (without folders and extension) or one folder name into what it claims.
 * @param isFolder folders carry more words that mean nothing
 */
export function readName(name: string, words: NameWords, isFolder = false): NameClaims {
  const tokens = preparedTokens(name, words);
  const otherCode = readIssueCodes(tokens, words);
  const otherNumber = readIssueNumber(tokens, words);
  markOneWordName(tokens, words);
  const found = readWords(tokens, words);
  const versions = readVersions(tokens);
  const claims = numberClaims(tokens, words);
  const numbers = readLetters(claims, words, found.parts);
  const letter = tokens.find(
    (token, at) => isFree(token) && /^[a-z]$/.test(token.text) && tokens[at - 1]?.role === 'page name',
  );
  return {
    ...found,
    ...leftOverOf(tokens, words, lettersBehindNumbers(tokens)),
    otherIssue: otherCode ?? otherNumber,
    strangeCode: strangeCode(tokens, words, isFolder),
    numbers,
    versions,
    letterAfterName: letter?.text ?? '',
  };
}
