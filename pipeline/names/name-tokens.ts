import { plainTables } from '../../config/words/word-tables.js';

/**
 * Cuts a file or folder name into words and numbers, so that the stages after it compare whole words instead of
 * searching in text: `p7` can then never be found inside `p70`, nor `cover` inside `discover`.
 */

/** What a word or number of a name can be read as; `said` is explained and tells nothing, `title` are words of the title. */
export type TokenRole =
  | 'issue'
  | 'page name'
  | 'version'
  | 'part'
  | 'number'
  | 'off print'
  | 'said'
  | 'title';

/** One word or number of a name. */
export interface NameToken {
  /** Lower case, without accents; numbers without leading zeros. */
  readonly text: string;
  /** As it stands in the name, less its accents. */
  readonly written: string;
  readonly isNumber: boolean;
  /** What stands between this token and the one before it; empty where they touch. */
  readonly before: string;
  /** A number alone in brackets, as systems mark a second copy: `(1)`, `[2]`. */
  readonly isBracketed: boolean;
  /** What it was read as; undefined while nobody has claimed it. */
  role: TokenRole | undefined;
}

/** Stands in `before` where a date, a size or a resolution was taken out: nothing is joined across it. */
export const gap = '\u0000';

/** Only the marks that Latin, Greek and Cyrillic letters carry: other scripts need theirs to stay legible. */
const accents = /[\u0300-\u036f]/g;
const beyondAscii = /[^ -~]/;
const fullWidthForms = /[\uff01-\uff5e]/g;
const fullWidthOffset = 0xfee0;
const halfWidthKana = /[\uff66-\uff9f]+/g;
/** Letters that carry a stroke or stand for two, which no decomposition takes apart. */
const plainLetters: Readonly<Record<string, string>> = {
  ł: 'l',
  Ł: 'L',
  ß: 'ss',
  œ: 'oe',
  æ: 'ae',
  ø: 'o',
  '№': 'no ',
};
/** `2ª capa`, `nº 4` and `n° 4`: the sign is a mark, not a letter. */
const ordinalSigns = /[ªº°]/g;

/** The same name whether its accents are composed or apart (NFC, NFD), absent, or its signs full or half width. */
function withoutAccents(name: string): string {
  if (!beyondAscii.test(name)) return name;
  const narrow = name
    .replace(fullWidthForms, (sign) => String.fromCharCode(sign.charCodeAt(0) - fullWidthOffset))
    .replace(halfWidthKana, (kana) => kana.normalize('NFKC'))
    .replace(ordinalSigns, (sign, at: number) =>
      /\p{L}/u.test(name[at - 1] ?? '') ? 'o ' : sign === 'ª' ? 'a ' : ' ',
    )
    .replace(/[łŁßœæø№]/g, (letter) => plainLetters[letter] ?? letter);
  return narrow.normalize('NFD').replace(accents, '').normalize('NFC');
}

const months = `(?:${plainTables.months
  .map(withoutAccents)
  .sort((a, b) => b.length - a.length)
  .join('|')})`;
const year = '(?:19|20)\\d\\d';
const alone = '(?<![\\p{L}\\d])';
const wordEnd = '(?![\\p{L}])';

/**
 * Numbers that never tell a page. The first that fits wins, so whole dates stand before their pieces. Real-life forms
 * of file names: common practice, no published source, except for ISO 8601 dates.
 */
const noise = new RegExp(
  [
    // 2026-11-25, with a time behind it only where it cannot be a pair of pages: 2026-11-25T14:30, ... 14.30.05
    `${alone}${year}([-_. ])(?:0?[1-9]|1[0-2])\\1(?:0?[1-9]|[12]\\d|3[01])(?!\\d)` +
      `(?:(?:T| at )\\d{1,2}[-.:]?\\d{2}(?:[-.:]?\\d{2})?(?!\\d)|[ _-]\\d{2}([-.:])\\d{2}\\2\\d{2}(?!\\d))?`,
    // 20261125T1430
    `${alone}${year}\\d{4}T\\d{4,6}(?!\\d)`,
    // 25.11.2026
    `${alone}\\d{1,2}([-_. ])\\d{1,2}\\3${year}(?!\\d)`,
    // 2026-11
    `${alone}${year}[-_.](?:0[1-9]|1[0-2])(?!\\d)`,
    // 2026年11月25日
    `${alone}${year}年(?:\\d{1,2}月(?:\\d{1,2}日)?)?`,
    // 25 nov 2026, 25nov26, 25. März 2026, 25 de noviembre de 2026, nov 25 2026
    `${alone}\\d{1,2}[-_. ]{0,2}(?:de[-_ ])?${months}[-_. ]{0,2}(?:de[-_ ])?(?:${year}|\\d\\d)(?!\\d)`,
    `${alone}${months}[-_. ]?\\d{1,2}[-_., ]{1,2}${year}(?!\\d)`,
    // 4125x6300, 6.625 x 10.25in
    `${alone}\\d+(?:[.,]\\d+)?\\s?(?:in|mm|cm|px)?["”]?\\s?[x×]\\s?\\d+(?:[.,]\\d+)?(?:\\s?(?:in|mm|cm|px)${wordEnd}|["”])?`,
    // 600dpi, 1200 ppi, dpi 300
    `\\d+[dpl]pi${wordEnd}`,
    `${alone}[1-9]\\d{2,}[-_ ]?[dpl]pi${wordEnd}`,
    `(?<!\\p{L})[dpl]pi[-_ ]?\\d+`,
    // 16bit, 8-bit, 16 bpc
    `(?<!\\d)(?:1|8|16|24|32|48|64)[-_ ]?(?:bits?|bpc|bpp)${wordEnd}`,
    // 171mm, 10.25in, 4125 px, 80%, 12mb, 4k
    `${alone}[1-9]\\d*(?:[.,]\\d+)?(?:in|inch|mm|cm|px|[kmg]b|k)${wordEnd}`,
    `${alone}[1-9]\\d{1,4}\\s?(?:mm|cm|px|%)${wordEnd}`,
    // 2nd, 3rd
    `${alone}\\d+(?:st|nd|rd|th)${wordEnd}`,
  ].join('|'),
  'giu',
);

const piece = /[0-9]+|\p{Lu}+(?!\p{Ll})|\p{Lu}?\p{Ll}+|\p{Lu}|[\p{Lo}\p{Lm}\p{Lt}〇]+/gu;

const noLetters: ReadonlyMap<string, unknown> = new Map();

/** Whether a number stands alone between brackets. */
function isInBrackets(before: string, after: string): boolean {
  return /[([]\s*$/.test(before) && /^\s*[)\]]/.test(after);
}

/**
 * Cuts one name (no folders, no extension) into words and numbers; `ShnP07Inks` gives shn, p, 7, inks.
 * Dates, sizes, resolutions and bit depths are taken out first.
 * @param letters that tell a part behind a page number: where k does, `12k` is page 12 and no resolution
 */
export function tokensOf(name: string, letters: ReadonlyMap<string, unknown> = noLetters): NameToken[] {
  const plain = withoutAccents(name);
  const cut = (hit: string) => (letters.has('k') && /^\d{1,4}k$/i.test(hit) ? hit : gap);
  const text = /\d/.test(plain) ? plain.replace(noise, cut) : plain;
  const tokens: NameToken[] = [];
  let end = 0;
  for (const match of text.matchAll(piece)) {
    const written = match[0];
    const before = text.slice(end, match.index);
    end = match.index + written.length;
    const isNumber = /^[0-9]/.test(written);
    tokens.push({
      text: isNumber ? written.replace(/^0+(?=\d)/, '') : written.toLowerCase().replace(accents, ''),
      written,
      isNumber,
      before,
      isBracketed: isNumber && isInBrackets(before, text.slice(end, end + 3)),
      role: undefined,
    });
  }
  return tokens;
}

const noLetter = /[^\p{L}〇]+/gu;

/** What the tokens of a phrase without digits give together: its letters. Undefined where it has a digit. */
export function lettersAlone(phrase: string): string | undefined {
  const plain = withoutAccents(phrase);
  return /\d/.test(plain) ? undefined : plain.toLowerCase().replace(accents, '').replace(noLetter, '');
}

/** The key of a phrase made one token longer; two numbers stay apart in it. */
export function longerKey(key: string, tokens: readonly NameToken[], at: number): string {
  const isApart = key !== '' && tokens[at].isNumber && tokens[at - 1].isNumber;
  return isApart ? `${key} ${tokens[at].text}` : key + tokens[at].text;
}

/** What spellings of a phrase have in common: `back cover`, `Back_Cover` and `backcover` all give `backcover`. */
export function phraseKey(tokens: readonly NameToken[]): string {
  return tokens.reduce((key, _, at) => longerKey(key, tokens, at), '');
}
