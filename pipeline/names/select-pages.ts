import { PlatehandError } from '../../config/errors.js';
import type { IssuePage, Job } from '../../config/job.js';

/**
 * Reads a choice of pages such as `3-5,cover,12-13`: page ids, and ranges of page numbers, in any order.
 * A range takes every page that has a number in it.
 * @returns ids in reading order
 * @throws PlatehandError `wrong-use` for a word that names no page
 */
export function selectPages(job: Pick<Job, 'pages'>, choice: string): string[] {
  const chosen = new Set<string>();
  const words = choice.split(',').map((word) => word.trim());
  for (const word of words.filter((text) => text !== '')) {
    const found = pagesOf(job.pages, word);
    if (found.length === 0) throw unknownPage(job, word);
    for (const page of found) chosen.add(page.id);
  }
  if (chosen.size === 0) throw unknownPage(job, choice);
  return job.pages.filter(({ id }) => chosen.has(id)).map(({ id }) => id);
}

function pagesOf(pages: readonly IssuePage[], word: string): IssuePage[] {
  const exact = pages.filter(
    ({ id, aliases }) => same(id, word) || aliases.some((alias) => same(alias, word)),
  );
  if (exact.length > 0) return exact;
  const range = /^(\d+)(?:-(\d+))?$/.exec(word);
  if (range === null) return [];
  const from = Number(range[1]);
  const to = Number(range[2] ?? range[1]);
  return pages.filter(({ numbers }) => numbers.some((number) => number >= from && number <= to));
}

function same(one: string, other: string): boolean {
  return one.normalize('NFC').toLowerCase() === other.normalize('NFC').toLowerCase();
}

function unknownPage(job: Pick<Job, 'pages'>, word: string): PlatehandError {
  const ids = job.pages.map(({ id }) => id).join(', ');
  return new PlatehandError(
    'wrong-use',
    `--pages speaks of "${word}", which is no page of this issue`,
    `Pages are: ${ids}. Give ids or ranges, for example --pages 3-5,cover.`,
  );
}
