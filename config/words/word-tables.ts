import { dutch } from './dutch.js';
import { english } from './english.js';
import { french } from './french.js';
import { german } from './german.js';
import { italian } from './italian.js';
import { japanese } from './japanese.js';
import { type CoverId, type LanguageWords, listed, type OffPrintKind, offPrintKinds } from './language.js';
import { polish } from './polish.js';
import { portuguese } from './portuguese.js';
import { russian } from './russian.js';
import { spanish } from './spanish.js';

/** Every language whose words are read; English first. */
export const languages: Readonly<Record<string, LanguageWords>> = {
  english,
  german,
  french,
  italian,
  spanish,
  portuguese,
  dutch,
  polish,
  russian,
  japanese,
};

/** The words of all languages for one thing, each once. */
export function together(take: (words: LanguageWords) => string | undefined): string[] {
  return [...new Set(Object.values(languages).flatMap((words) => listed(take(words))))];
}

/** Names of the four covers in all languages. */
export const coverNames: Readonly<Record<CoverId, readonly string[]>> = {
  cover: ['cover', ...together(({ covers }) => covers.cover)],
  'inside-front-cover': ['inside-front-cover', ...together(({ covers }) => covers['inside-front-cover'])],
  'inside-back-cover': ['inside-back-cover', ...together(({ covers }) => covers['inside-back-cover'])],
  'back-cover': ['back-cover', ...together(({ covers }) => covers['back-cover'])],
};

/** Other things around an issue that a page list may have, and that are none of its pages where it has not. */
export const wrapWords: readonly string[] = listed(
  'spine, jacket, dust jacket, endpaper, endpapers, buchrücken, vorsatz, tranche, garde, gardes, dorso, lomo, lombada, ' +
    'guardas, rug, schutblad, grzbiet, корешок, форзац, 背表紙, 見返し, 帯',
);

/** Words that stand for `cover` in the names of further covers, such as `cvr b` for `cover-b`. */
export const coverSynonyms: readonly string[] = listed(
  'cvr, couverture, couv, titelbild, umschlag, copertina, portada, cubierta, capa, omslag, okładka, обложка, 表紙',
);

/** Words for work that is not for print, each with what it is. */
export const offPrintWords: ReadonlyMap<string, OffPrintKind> = new Map(
  offPrintKinds.flatMap((kind) =>
    together(({ offPrint }) => offPrint[kind]).map((word) => [word, kind] as const),
  ),
);

/** Each way to write one to thirty, with the number. */
export const numberWords: ReadonlyMap<string, number> = new Map(
  Object.values(languages).flatMap(({ numbers }) =>
    listed(numbers).flatMap((forms, at) => forms.split('/').map((form) => [form, at + 1] as const)),
  ),
);

/** Words that need no telling apart: lists of all languages. */
export const plainTables = {
  page: together(({ page }) => page),
  pageBehind: together(({ pageBehind }) => pageBehind),
  issue: together(({ issue }) => issue),
  issueBehind: together(({ issueBehind }) => issueBehind),
  version: together(({ version }) => version),
  finished: together(({ finished }) => finished),
  copy: together(({ copy }) => copy),
  months: together(({ months }) => months),
  joining: together(({ joining }) => joining),
} as const satisfies Record<string, readonly string[]>;
