import { expect, test } from 'vitest';
import { coverNames, languages, offPrintWords, wrapWords } from '../../../config/words/word-tables.js';
import { phraseKey, tokensOf } from '../../../pipeline/names/name-tokens.js';
import { keyOf } from '../../../pipeline/names/trade-words.js';

/** What studios write in capitals, with signs between, with accents apart, in other scripts, and with numbers. */
const strange = [
  'Front Cover',
  'LINE-ART_Final',
  "l'encrage (noir)",
  'Couleurs Définitives'.normalize('NFD'),
  'GRÖSSE ß',
  'Ｌｉｎｅ ａｒｔ',
  'ﾍﾟﾝ入れ',
  '表紙・裏',
  'ОБЛОЖКА Ёлка',
  'ΤΕΛΟΣ ΣΕΛΙΔΑΣ',
  'İstanbul',
  '2ª capa',
  'Page 012 b',
  'no 4 5',
  'nº quatre',
  '',
  '- _ -',
];

const ofTables = [
  ...Object.values(languages).flatMap((words) => JSON.stringify(words).split(/[",/]/)),
  ...Object.values(coverNames).flat(),
  ...wrapWords,
  ...offPrintWords.keys(),
];

test('a word of the trade is compared by what its tokens give, whatever shortcut finds it', () => {
  const all = [...ofTables, ...strange];
  expect(all.length).toBeGreaterThan(1000);
  expect(all.map(keyOf)).toEqual(all.map((phrase) => phraseKey(tokensOf(phrase))));
});
