import { clashKey } from '../portable-name.js';
import { type FoundProblem, wrongValue as wrong } from './job-problem.js';
import type { ListedPage } from './page-schema.js';

/**
 * Every name must mean one page, and every number must stand in the list once. An overlapping range is one mistake,
 * however many pages it repeats.
 */
export function repeatedPages(pages: readonly ListedPage[]): FoundProblem[] {
  const seen = new Set<string>();
  const repeats = new Map<ListedPage['entry'], { page: ListedPage; marks: string[] }>();
  for (const page of pages) {
    const marks = page.numbers.length > 0 ? page.numbers.map(String) : [clashKey(page.id)];
    for (const mark of marks) {
      if (seen.has(mark)) {
        const known = repeats.get(page.entry) ?? { page, marks: [] };
        known.marks.push(mark);
        repeats.set(page.entry, known);
      }
      seen.add(mark);
    }
  }
  return [...repeats.values()].map(({ page, marks }) => {
    const few = marks.slice(0, 5).join(', ');
    const which = marks.length > 5 ? `${few} and ${marks.length - 5} more` : few;
    const what = marks.length === 1 ? `page ${which} stands` : `pages ${which} stand`;
    return wrong(page.at, `${what} in the list a second time`, 'every page once', '');
  });
}

/** An alias must not be another page's id or alias, nor look like a page number. */
export function contestedAliases(pages: readonly ListedPage[]): FoundProblem[] {
  const owner = new Map(pages.map((page) => [clashKey(page.id), page]));
  const problems: FoundProblem[] = [];
  for (const page of pages) {
    for (const [index, alias] of page.aliases.entries()) {
      const at = [...page.at, 'aliases', index];
      const other = owner.get(clashKey(alias));
      if (other !== undefined && other !== page) {
        problems.push(
          wrong(at, `"${alias}" already means page ${other.id}`, 'a name that no other page has', ''),
        );
      } else if (/^\d+([-\s]+\d+)?$/.test(alias)) {
        problems.push(
          wrong(at, `"${alias}" looks like a page number`, 'a name that is not a number', 'aliases: [front]'),
        );
      } else owner.set(clashKey(alias), page);
    }
  }
  return problems;
}
