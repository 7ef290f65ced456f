import type { FilePart } from '../../config/job.js';
import { doubtfulPartWords } from '../../config/job-file/part-words.js';
import type { OffPrintKind } from '../../config/words/language.js';
import {
  coverNames,
  numberWords as numbersOfAll,
  offPrintWords,
  plainTables,
  wrapWords,
} from '../../config/words/word-tables.js';
import { lettersAlone, phraseKey, tokensOf } from './name-tokens.js';

/**
 * The words of the trade in the form in which names are compared: lower case, without accents, phrases in one piece.
 * The words themselves stand in config/words, a file a language. Common practice, no published source.
 */

/** Most words of the tables, whose key is found at once: thousands of them are keyed whenever a command begins. */
const plainPhrase = /^[a-z]+(?:[ -][a-z]+)*$/;

/** The form in which a word or phrase is compared: the key of its tokens. Without digits that is its letters, which need no cutting. */
export const keyOf = (phrase: string): string =>
  plainPhrase.test(phrase)
    ? phrase.replace(/[ -]/g, '')
    : (lettersAlone(phrase) ?? phraseKey(tokensOf(phrase)));

const keys = (words: readonly string[]): Set<string> => {
  const all = new Set(words.map(keyOf));
  all.delete('');
  return all;
};

const keyed = <T>(words: ReadonlyMap<string, T>): Map<string, T> =>
  new Map([...words].map(([word, value]) => [keyOf(word), value]));

const spaced = (words: string): readonly string[] => words.split(' ');

/** A number after one of these is a page number. */
export const pageWords: ReadonlySet<string> = keys(plainTables.page);
/** A number that touches one of these from before is a page number: `7ページ`. */
export const pageBehindWords: ReadonlySet<string> = keys(plainTables.pageBehind);
/** A number after one of these is the issue's. */
export const issueWords: ReadonlySet<string> = keys(plainTables.issue);
/** A number that touches one of these from before is the issue's: `第4号`. */
export const issueBehindWords: ReadonlySet<string> = keys(plainTables.issueBehind);
/** A number after one of these is a version. */
export const versionWords: ReadonlySet<string> = keys(plainTables.version);
/** A number after one of these tells one copy from another, whatever it is. */
export const copyWords: ReadonlySet<string> = keys(plainTables.copy);
/** How one to thirty are written. */
export const numberWords: ReadonlyMap<string, number> = keyed(numbersOfAll);
/** Words for work that is not for print. */
export const offPrint: ReadonlyMap<string, OffPrintKind> = keyed(offPrintWords);
/** Words that may tell several parts. */
export const doubtfulWords: ReadonlyMap<string, readonly FilePart[]> = keyed(doubtfulPartWords);

/** Words that tell neither a page nor a version; a single digit after them means as little. */
export const emptyWords: ReadonlySet<string> = keys(plainTables.finished);

/** The same in several words, such as `hi res`. */
export const emptyPhrases: readonly string[] = plainTables.finished
  .filter((word) => word.includes(' '))
  // Written in capitals behind a small letter, it would fall into two words.
  .concat('sRGB')
  .map(keyOf);

/** Names of covers and of what is wrapped around an issue. Where the page list has none of that name, no page bears it. */
export const coverPhrases: ReadonlySet<string> = keys([...Object.values(coverNames).flat(), ...wrapWords]);

/** Where in the book a number counts from: the number is explained, and is no page. */
const placeWords = spaced('scene scn sc sq seq sequence act chapter chap ch episode ep season day week of');
/** A volume's number, which may be the issue's. */
export const volumeWords: ReadonlySet<string> = keys(spaced('volume vol book bk'));

/** A number after one of these is explained and tells no page. */
const explainingWords: ReadonlySet<string> = keys(placeWords);

/** A number after one of these counts something else: scenes, panels, tries, a camera's pictures. */
export const countingWords: ReadonlySet<string> = keys([
  ...placeWords,
  ...volumeWords,
  ...spaced('shot part pt panel pnl layer level stage step round pass take try edit var'),
  ...spaced('img image dsc dscn dcim pict pic photo scan scanned scanner screenshot untitled fig'),
  ...spaced(
    'szene kapitel bild ebene scan scene chapitre case calque scena capitolo vignetta escena capitulo vineta',
  ),
  ...spaced('cena capitulo quadro hoofdstuk beeld scena rozdzial kadr сцена глава кадр シーン コマ レイヤー'),
  ...spaced('rgb srgb cmyk gray grey lab cmjn cmjk quadri rvb'),
  ...[...offPrint].flatMap(([word, kind]) =>
    kind === 'an alternative' || kind.startsWith('unfinished') ? [word] : [],
  ),
]);

/** Words that explain themselves and say nothing about page or part: colour modes, formats, joining words. */
export const sayingWords: ReadonlySet<string> = keys([
  ...spaced(
    'rgb srgb cmyk lab cmjn cmjk rvb icc spread spreads dps double doppelseite разворот tif tiff png jpg jpeg ora psd file files page pages dpi ppi interior int',
  ),
  ...plainTables.joining.filter(
    (word) => word.length > 1 || !/\p{Script=Latin}|\p{Script=Cyrillic}/u.test(word),
  ),
]);

/**
 * Words that tell one cover from another. Where one is left over beside a shorter cover name, the file may belong to
 * a cover that the page list does not have: `inside front cover` where it knows `front cover` only.
 */
export const coverWords: ReadonlySet<string> = keys(
  spaced(
    'back rear inside inner outside outer interior wrap wraparound front innen hinten vorne interieur interno retro',
  ),
);

/** Words that take back what follows: `no text`. Common practice, no published source. */
export const withoutWords: ReadonlySet<string | undefined> = keys(
  spaced('no without minus ohne sans senza sin sem zonder bez без'),
);

/** Words of the left half of a spread; common practice, no published source. */
export const leftWords: ReadonlySet<string> = keys(
  spaced('left lh links gauche sinistra izquierda esquerda lewa левая 左 左側'),
);

/** Words of its right half. */
export const rightWords: ReadonlySet<string> = keys(
  spaced('right rh rechts droite destra derecha direita prawa правая 右 右側'),
);

/** Words that explain themselves where nothing else has claimed them. */
export const selfExplained: readonly string[] = [
  ...new Set([...sayingWords, ...explainingWords, ...copyWords, ...pageWords, ...pageBehindWords]),
];

/** Words that count or say something, and so are no letters of an issue's code. */
export const noCodeWords: readonly string[] = [
  ...new Set([...selfExplained, ...countingWords, ...emptyWords, ...versionWords, ...issueWords]),
];
