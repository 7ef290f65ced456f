import { clashKey } from '../portable-name.js';
import { deliveryProblems } from './delivery-rules.js';
import type { Draft, Placed } from './job-draft.js';
import { didYouMean, type FoundProblem, type JobPath, wrongValue } from './job-problem.js';
import { namingProblems } from './naming-rules.js';
import { findPage, spreadWith } from './page-list.js';
import type { ListedPage } from './page-schema.js';
import { partRules } from './part-rules.js';
import { type PlacedSettings, specProblems } from './spec-rules.js';
import { swatchRules } from './swatch-rules.js';

/** Kinds that every job knows. */
const ownKinds = ['interior', 'cover'];

type Rule = (draft: Draft, pages: readonly ListedPage[]) => FoundProblem[];

const rules: readonly Rule[] = [
  scenesStandOnce,
  pagesNameKnownScenes,
  pagesHaveKnownKinds,
  kindsAreUsed,
  heldPagesExist,
  namesAreFileNames,
  namesMeanKnownPages,
  ...partRules,
  ...swatchRules,
  specsHoldTogether,
  namingProblems,
  deliveryProblems,
];

/**
 * What the fields of a job say together, on top of each field's own form. A rule that needs a whole list (an unknown
 * page, say) stays silent while that list has other mistakes, so that one slip is not reported many times.
 */
export function jobRuleProblems(draft: Draft, pages: readonly ListedPage[]): FoundProblem[] {
  return rules.flatMap((rule) => rule(draft, pages));
}

function repeated<Value>(
  entries: readonly Placed<Value>[],
  markOf: (entry: Placed<Value>) => string,
  problem: (entry: Placed<Value>) => FoundProblem,
): FoundProblem[] {
  const seen = new Set<string>();
  return entries.flatMap((entry) => {
    const mark = markOf(entry);
    const isRepeated = seen.has(mark);
    seen.add(mark);
    return isRepeated ? [problem(entry)] : [];
  });
}

function scenesStandOnce({ scenes }: Draft): FoundProblem[] {
  return repeated(
    scenes.entries,
    (entry) => clashKey(entry.value.id),
    ({ at, value }) =>
      wrongValue([...at, 'id'], `scene "${value.id}" stands in the list twice`, 'every scene once', ''),
  );
}

function pagesNameKnownScenes({ scenes, pages }: Draft): FoundProblem[] {
  if (!scenes.isWhole) return [];
  const ids = scenes.entries.map((entry) => entry.value.id);
  return pages.entries.flatMap(({ at, value }) => {
    if (value.scene === undefined || ids.includes(value.scene)) return [];
    const message = `there is no scene "${value.scene}"${didYouMean(value.scene, ids)}`;
    const expected = ids.length === 0 ? 'a scene that stands in the list scenes' : `one of ${ids.join(', ')}`;
    const example = ids.length === 0 ? `scenes: [{id: ${value.scene}}]` : `scene: ${ids[0]}`;
    return [wrongValue([...at, 'scene'], message, expected, example)];
  });
}

function pagesHaveKnownKinds({ kinds, pages }: Draft): FoundProblem[] {
  if (!kinds.isWhole) return [];
  const known = [...new Set([...ownKinds, ...kinds.entries.map((entry) => entry.key)])];
  return pages.entries.flatMap(({ at, value }) => {
    if (value.kind === undefined || known.includes(value.kind)) return [];
    const message = `there is no kind "${value.kind}"${didYouMean(value.kind, known)}`;
    const expected = `one of ${known.join(', ')}, or a new kind under kinds`;
    return [wrongValue([...at, 'kind'], message, expected, 'kind: cover')];
  });
}

function kindsAreUsed({ kinds, pages }: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  if (!pages.isWhole) return [];
  const used = new Set([...ownKinds, ...listed.map((page) => page.kind)]);
  return kinds.entries.flatMap(({ at, key }) => {
    if (used.has(key)) return [];
    const message = `no page is of the kind "${key}"${didYouMean(key, used)}`;
    return [{ at, on: 'key' as const, message, expected: `one of ${[...used].join(', ')}`, example: '' }];
  });
}

function unknownPage(reference: string, at: JobPath, listed: readonly ListedPage[]): FoundProblem {
  const known = listed.flatMap((page) => [page.id, ...page.aliases]);
  const spread = listed.find((page) => page.isSpread && page.numbers.includes(Number(reference)));
  const hint =
    spread === undefined ? didYouMean(reference, known) : ` (it is half of the spread ${spread.id})`;
  const example = `page: ${spread?.id ?? listed.at(0)?.id ?? 1}`;
  return wrongValue(
    at,
    `page "${reference}" is not in the page list${hint}`,
    'the id of a page in the list',
    example,
  );
}

function heldPagesExist({ held, pages }: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  if (!pages.isWhole) return [];
  const unknown = held.entries
    .filter(({ value }) => findPage(listed, value.page) === undefined)
    .map(({ at, value }) => unknownPage(value.page, [...at, 'page'], listed));
  const twice = repeated(
    held.entries.filter(({ value }) => findPage(listed, value.page) !== undefined),
    ({ value }) => findPage(listed, value.page)?.id ?? '',
    ({ at, value }) =>
      wrongValue([...at, 'page'], `page ${value.page} is held twice`, 'one reason a page', ''),
  );
  return [...unknown, ...twice];
}

/** Names are relative to incoming/, with forward slashes, and tell one file each however its accents are stored. */
function namesAreFileNames({ names }: Draft): FoundProblem[] {
  const onKey = (at: JobPath, message: string, example: string): FoundProblem => {
    return { at, on: 'key', message, expected: 'a file name as it stands in incoming/', example };
  };
  const badForm = names.entries.flatMap(({ at, key }) => {
    const tail = key.split(/[/\\]/).at(-1) ?? key;
    const example = `${JSON.stringify(tail)}: ignore`;
    if (key.includes('\\'))
      return [onKey(at, `"${key}" has a backslash`, example.replace(tail, key.replaceAll('\\', '/')))];
    if (key.startsWith('incoming/'))
      return [onKey(at, `"${key}" starts with incoming/, which goes without saying`, example)];
    const steps = key.split('/');
    if (steps.some((step) => step === '' || step === '.' || step === '..') || /^[A-Za-z]:/.test(key)) {
      return [onKey(at, `"${key}" does not lead to a file in incoming/`, example)];
    }
    return [];
  });
  const twice = repeated(
    names.entries,
    ({ key }) => key.normalize('NFC'),
    ({ at, key }) => onKey(at, `"${key}" stands here twice, with accents stored in two ways`, ''),
  );
  return [...badForm, ...twice];
}

function namesMeanKnownPages({ names, pages }: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  if (!pages.isWhole) return [];
  return names.entries.flatMap(({ at, value }) => {
    if (value === 'ignore' || findPage(listed, value.page) !== undefined) return [];
    // A file may be half of a spread.
    if (spreadWith(listed, value.page) !== undefined) return [];
    return [unknownPage(value.page, [...at, 'page'], listed)];
  });
}

/** The print spec as the job has it, then for every kind and for every page with settings of its own. */
function specsHoldTogether(draft: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  const base: PlacedSettings = { at: ['print'], settings: draft.print };
  const kinds = new Map(draft.kinds.entries.map(({ at, key, value }) => [key, { at, settings: value }]));
  const stacks: PlacedSettings[][] = [[base], ...[...kinds.values()].map((kind) => [base, kind])];
  for (const page of listed) {
    if (page.entry.print === undefined) continue;
    const kind = kinds.get(page.kind);
    const own: PlacedSettings = { at: [...page.at, 'print'], settings: page.entry.print };
    stacks.push(kind === undefined ? [base, own] : [base, kind, own]);
  }
  return stacks.flatMap((levels) => specProblems(levels, draft.units));
}
