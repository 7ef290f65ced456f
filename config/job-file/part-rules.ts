import { inkPart } from '../extra-ink.js';
import { parts } from '../job.js';
import { clashKey } from '../portable-name.js';
import { processInkNames } from '../print-spec.js';
import type { Draft } from './job-draft.js';
import { didYouMean, type FoundProblem, type JobPath, pathText, wrongValue } from './job-problem.js';
import { assignedParts, type ListedPage, neededParts } from './page-schema.js';
import { partWordsWith } from './part-words.js';

/** What a job says of parts and of extra inks: every word tells one of them, and whatever names one names one that there is. */

type Rule = (draft: Draft, pages: readonly ListedPage[]) => FoundProblem[];

/** The rules of this file. */
export const partRules: readonly Rule[] = [
  wordsTellOnePart,
  pagesAreNotPartWords,
  extraInksHaveNamesOfTheirOwn,
  namedPartsAreKnown,
];

/** Ends of names of files that are made of every page, and parts: an ink of that id would be taken for one. */
const takenIds: readonly string[] = [
  ...processInkNames,
  ...assignedParts,
  ...['composite', 'page', 'press', 'proof', 'differences', 'register', 'gamut', 'cleaned', 'thumbnail'],
];

/** Names of separations that mean process inks, every plate, or none: ISO 32000-1 section 8.6.6.4. */
const takenNames: readonly string[] = [...processInkNames, 'all', 'none'];

function extraInksHaveNamesOfTheirOwn({ extraInks }: Draft): FoundProblem[] {
  const ids = new Set<string>(takenIds);
  const names = new Set<string>(takenNames);
  return extraInks.entries.flatMap(({ at, value: { id, name = id } }) => {
    const found: FoundProblem[] = [];
    const claim = (taken: Set<string>, key: 'id' | 'name', text: string, means: string) => {
      if (taken.has(clashKey(text))) {
        found.push(wrongValue([...at, key], `"${text}" is taken`, means, `${key}: varnish`));
      }
      taken.add(clashKey(text));
    };
    claim(ids, 'id', id, 'an id that is no part, no process ink and no other ink');
    if (name !== id)
      claim(names, 'name', name, 'a name that is no process ink, not All, None or another ink');
    else names.add(clashKey(id));
    return found;
  });
}

/** Parts in `needs` and in `names`. */
function namedPartsAreKnown({ extraInks, pages, names }: Draft): FoundProblem[] {
  if (!extraInks.isWhole) return [];
  const ids = extraInks.entries.map(({ value }) => value.id);
  const unknown = (at: JobPath, word: string, own: readonly string[]): FoundProblem[] => {
    const known = [...own, ...ids];
    if (known.includes(word)) return [];
    const message = `${pathText(at)} cannot be "${word}"${didYouMean(word, known)}`;
    return [wrongValue(at, message, `one of ${known.join(', ')}`, '')];
  };
  return [
    ...pages.entries.flatMap(({ at, value: { needs = [] } }) =>
      needs.flatMap((word, index) => unknown([...at, 'needs', index], word, neededParts)),
    ),
    ...names.entries.flatMap(({ at, value }) =>
      value === 'ignore' || value.part === undefined
        ? []
        : unknown([...at, 'part'], value.part, assignedParts),
    ),
  ];
}

function wordsTellOnePart({ parts: extra, extraInks }: Draft): FoundProblem[] {
  const owner = new Map<string, string>();
  const builtIn = partWordsWith({});
  for (const part of parts) for (const known of builtIn[part]) owner.set(known, part);
  const problems: FoundProblem[] = [];
  const claim = (at: JobPath, own: string, part: string) => {
    const other = owner.get(clashKey(own)) ?? part;
    if (other !== part) {
      problems.push(wrongValue(at, `"${own}" already means ${other}`, 'a word that tells one part', ''));
    }
    owner.set(clashKey(own), other);
  };
  for (const { at, key, value } of extra.entries) {
    for (const [index, own] of value.entries()) claim([...at, index], own, key);
  }
  for (const { at, value } of extraInks.entries) {
    const { id, words } = value;
    if (words === undefined) claim([...at, 'id'], id, inkPart(id));
    for (const [index, own] of (words ?? []).entries()) claim([...at, 'words', index], own, inkPart(id));
  }
  return problems;
}

/** A page called `line` could not be told from the line part of another page. */
function pagesAreNotPartWords(
  { parts: extra, extraInks }: Draft,
  listed: readonly ListedPage[],
): FoundProblem[] {
  const own = Object.fromEntries(extra.entries.map(({ key, value }) => [key, value]));
  const words = partWordsWith(
    own,
    extraInks.entries.map(({ value }) => value),
  );
  const partOf = (name: string) => Object.entries(words).find(([, all]) => all.includes(clashKey(name)))?.[0];
  return listed.flatMap((page) => {
    const names = [page.id, ...(page.entry.aliases ?? [])];
    return names.flatMap((name) => {
      const part = partOf(name);
      if (part === undefined) return [];
      return [
        wrongValue(
          page.at,
          `"${name}" means the part ${part} in file names`,
          'another name for this page',
          '',
        ),
      ];
    });
  });
}
