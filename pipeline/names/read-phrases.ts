import { longerKey, type NameToken } from './name-tokens.js';

/** Whether nothing has claimed the token yet. */
export function isFree(token: NameToken | undefined): token is NameToken {
  return token !== undefined && token.role === undefined;
}

/** The tokens as they stand in the name, with what is between them. */
export const asWritten = (tokens: readonly NameToken[], from: number, to: number): string =>
  tokens
    .slice(from, to)
    .map((token, at) => (at === 0 ? token.written : token.before + token.written))
    .join('');

/** Says what the tokens were read as. */
export function mark(tokens: readonly NameToken[], from: number, to: number, role: NameToken['role']): void {
  for (let at = from; at < to; at += 1) tokens[at].role = role;
}

/** A lone letter that touches the number before it belongs to the number: the c of `p07c` begins no phrase. */
function belongsToNumber(tokens: readonly NameToken[], at: number): boolean {
  const { text, before } = tokens[at];
  return (
    text.length === 1 && before === '' && tokens[at - 1]?.isNumber === true && /\p{Script=Latin}/u.test(text)
  );
}

/** Marks phrases from the left, the longest first at each place, so that `back cover` is never `cover`. */
export function readPhrases<T>(
  tokens: readonly NameToken[],
  phrases: { get(key: string): T | undefined },
  longest: number,
  found: (value: T, from: number, to: number) => void,
): void {
  for (let from = 0; from < tokens.length; from += 1) {
    let end = 0;
    let key = '';
    let value: T | undefined;
    for (let to = from + 1; to <= tokens.length; to += 1) {
      if (tokens[to - 1].role !== undefined || (to === from + 1 && belongsToNumber(tokens, from))) break;
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
