import { languageGroups } from './name-cases-languages.js';
import { pageNameGroups } from './name-cases-pages.js';
import { strangerGroups } from './name-cases-strangers.js';
import { wordGroups } from './name-cases-words.js';

/**
 * Names as working pages really bear them, each with what platehand must make of it. All invented; the habits behind
 * them are common practice, no published source.
 *
 * The issue of this table is SHN04, number 4, The Long Night, with a scene harbour: cover, inside-front-cover, pages 1 to 11, spread 12-13, pages 14 to 24,
 * page 70, couverture-arrière, cover-b and back-cover.
 *
 * What is expected reads `page part version`, with `-` for no version; `? ` and words from the rule that leaves the file
 * out; or `> ` and words from the rule that passes it over as not for print.
 */
export interface NameGroup {
  readonly says: string;
  readonly cases: readonly (readonly [name: string, expected: string])[];
}

export const nameGroups: readonly NameGroup[] = [
  ...pageNameGroups,
  ...wordGroups,
  ...languageGroups,
  ...strangerGroups,
];
