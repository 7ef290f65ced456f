import { longerKey, type NameToken } from './name-tokens.js';
import type { IssueCode, NameWords } from './name-words.js';
import { asWritten, isFree, mark } from './read-phrases.js';
import { issueBehindWords, issueWords, pageWords, versionWords, volumeWords } from './trade-words.js';

/** Another issue's code or number in a name. */
export interface OtherIssue {
  /** As it stands in the name. */
  readonly written: string;
  /** The code that `codes:` of job.yaml would admit; undefined for a number without a code. */
  readonly code: string | undefined;
  /** The page number that may be written without a gap behind the issue's own code, as in SHN0407; undefined if none. */
  readonly gluedPage?: number | undefined;
}

/** Whether the token can be the number that belongs to an issue's letters. */
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

/** Page 7 where the code's own number stands before it without a gap, as in SHN0407. */
function gluedPage(number: NameToken, code: IssueCode): number | undefined {
  const own = /\d+$/.exec(code.written)?.[0];
  if (own === undefined || !number.written.startsWith(own) || number.written.length === own.length)
    return undefined;
  return Number(number.written.slice(own.length));
}

/** Letters from which on a code that is also a page word is one beside any other number: `STR01_02`, but not `P03_02`. Own choice. */
const plainCodeLetters = 3;

/** Whether a name tells a page outside of a code whose letters are also a page word: `STR01_p02`, `PL02 cover`. */
function tellsPageBeside(
  tokens: readonly NameToken[],
  { from, to }: { readonly from: number; readonly to: number },
  { prefix }: IssueCode,
  { pageNames }: NameWords,
): boolean {
  return tokens.some((token, at) => {
    if (at >= from && at < to) return false;
    if (!token.isNumber) return pageNames.has(token.text);
    const before = tokens[at - 1]?.text ?? '';
    return pageWords.has(before) || (prefix.length >= plainCodeLetters && !versionWords.has(before));
  });
}

/** Marks the issue's codes; returns another issue's code where the name carries one with the same letters. */
export function readIssueCodes(tokens: readonly NameToken[], words: NameWords): OtherIssue | undefined {
  const { codes } = words;
  const isOwn = (key: string) => codes.some((code) => code.key === key);
  let other: OtherIssue | undefined;
  for (const code of codes) {
    for (let from = 0; from < tokens.length; from += 1) {
      let key = '';
      for (let to = from + 1; to <= tokens.length && key.length < code.key.length; to += 1) {
        key = longerKey(key, tokens, to - 1);
        const isCode =
          key === code.key && (!code.isPageWord || tellsPageBeside(tokens, { from, to }, code, words));
        if (isCode) mark(tokens, from, to, 'issue');
        const number = tokens[to];
        if (code.number === undefined || code.isPageWord || key !== code.prefix || !isCodeNumber(number))
          continue;
        if (isOwn(longerKey(key, tokens, to))) continue;
        const written = asWritten(tokens, from, to + 1);
        other ??= { written, code: asCode(written), gluedPage: gluedPage(number, code) };
        mark(tokens, from, to + 1, 'issue');
      }
    }
  }
  return other;
}

/** A code as `codes:` of job.yaml takes it: letters, digits, hyphens and underscores. */
const asCode = (written: string): string => written.replace(/[^\p{L}\p{N}_-]+/gu, '-');

/** Whether an `#` that makes the number the issue's stands before it: not in `page #7`. */
function hasSign({ before }: NameToken, word: NameToken | undefined): boolean {
  return /#\s?$/.test(before) && !(word !== undefined && pageWords.has(word.text));
}

/** Whether another number of the name stands behind a page word: the number behind the title is then the issue's. */
const hasWordedPage = (tokens: readonly NameToken[], but: number): boolean =>
  tokens.some((token, at) => at !== but && token.isNumber && pageWords.has(tokens[at - 1]?.text ?? ''));

/** Where the words of an issue number begin and end: `issue 4`, `no. 4`, `#4`, `第4号`; undefined where the number is none. */
function issueSpan(tokens: readonly NameToken[], at: number): { from: number; to: number } | undefined {
  const [word, number, behind] = [tokens[at - 1], tokens[at], tokens[at + 1]];
  if (isFree(behind) && behind.before === '' && issueBehindWords.has(behind.text)) {
    return { from: word?.text === '第' ? at - 1 : at, to: at + 2 };
  }
  if (word?.role === 'title' && hasWordedPage(tokens, at)) return { from: at - 1, to: at + 1 };
  const isNamed =
    word?.text === '第' ? false : isFree(word) && issueWords.has(word.text) && !number.before.includes('/');
  if (isNamed) return { from: at - 1, to: at + 1 };
  return hasSign(number, word) ? { from: at, to: at + 1 } : undefined;
}

/** Marks `#4` and `issue 4`; returns the words where they give another number than the job's. */
export function readIssueNumber(tokens: readonly NameToken[], words: NameWords): OtherIssue | undefined {
  let other: OtherIssue | undefined;
  let isSaid = tokens.some(({ role }) => role === 'issue');
  const volumes: (() => void)[] = [];
  for (let at = 0; at < tokens.length; at += 1) {
    const number = tokens[at];
    if (!isCodeNumber(number)) continue;
    const isOther = words.issueNumber !== undefined && Number(number.text) !== words.issueNumber;
    const word = tokens[at - 1];
    const span = issueSpan(tokens, at);
    if (span !== undefined) {
      const sign = span.from === at && hasSign(number, word) ? '#' : '';
      if (isOther) other ??= { written: sign + asWritten(tokens, span.from, span.to), code: undefined };
      isSaid = true;
      mark(tokens, span.from, span.to, 'issue');
    } else if (isFree(word) && volumeWords.has(word.text)) {
      const written = asWritten(tokens, at - 1, at + 1);
      volumes.push(() => {
        if (isOther && !isSaid) other ??= { written, code: undefined };
        mark(tokens, at - 1, at + 1, 'said');
      });
    }
  }
  for (const settle of volumes) settle();
  return other;
}

/** Letters of another series' code: two to six. Common practice, no published source. */
const codeLetters = /^\p{L}{2,6}$/u;
/** Letters and digits of a code together: x2 is none, S04 and AB2 are. Own choice. */
const shortestCode = 3;
const capitals = /^\p{Lu}{2,5}$/u;

/**
 * A code that nobody has explained: a word that touches a number, as in QLM03, or a word in capitals where names carry
 * their code, first, while the issue's own code is nowhere. Called when all else has been read.
 * @param isFolder folders are called batch2 and for_anna too: there a code has two digits or capitals
 */
export function strangeCode(
  tokens: readonly NameToken[],
  words: NameWords,
  isFolder: boolean,
): OtherIssue | undefined {
  for (let at = 0; at < tokens.length; at += 1) {
    const [word, number] = [tokens[at], tokens[at + 1]];
    if (!isFree(word) || word.isNumber || words.noCode.has(word.text)) continue;
    const digits = number?.isNumber === true && number.before === '' ? number.written.length : 0;
    const isLong = word.text.length + digits >= shortestCode;
    const isGlued = digits > 0 && digits <= 4 && isLong && number.role !== 'version';
    const isCode = !isFolder || (codeLetters.test(word.text) && (capitals.test(word.written) || digits > 1));
    if (isGlued && isCode) {
      const written = asWritten(tokens, at, at + 2);
      return { written, code: asCode(written) };
    }
    if (
      at === 0 &&
      !isFolder &&
      capitals.test(word.written) &&
      tokens.every(({ role }) => role !== 'issue')
    ) {
      return { written: word.written, code: word.written };
    }
  }
  return undefined;
}
