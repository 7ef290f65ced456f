import type { IssuePage, Job } from '../job.js';

/** What a page's name is made of. */
export type NamedPage = Pick<IssuePage, 'id' | 'numbers' | 'kind' | 'scene'>;
/** What of a job its pages' names are made of. */
export type NamingJob = Pick<Job, 'issue' | 'number' | 'naming'> & {
  /** All of them: the largest number says how many digits page numbers have. */
  readonly pages: readonly NamedPage[];
};

/** Tokens that a naming pattern may hold. */
export const namingTokens = ['issue', 'number', 'page', 'kind', 'scene'] as const;

/** Every token in a pattern, known or not, as `{word}` or stray brace. */
export function tokensOf(pattern: string): string[] {
  return pattern.match(/\{[^{}]*\}|[{}]/g) ?? [];
}

/**
 * The name under which a page's files are written, without suffix and extension: the job's naming pattern filled in,
 * such as `TDL03_07`, `TDL03_12-13` or `TDL03_cover`. Distinct for every page, also where case does not count, once
 * loadJob has accepted the job.
 */
export function outputBaseName(job: NamingJob, page: NamedPage): string {
  const width = numberWidth(job.pages);
  const values: Record<string, string> = {
    '{issue}': job.issue,
    '{number}': job.number === undefined ? '' : String(job.number),
    '{page}': fileSafeId(page, width),
    '{kind}': page.kind,
    '{scene}': page.scene ?? '',
  };
  return job.naming.replace(/\{[^{}]*\}/g, (token) => values[token] ?? token);
}

/** The two single pages of a spread, as they are named where it is delivered split; none for other pages. */
export function halvesOf<P extends NamedPage>(page: P): P[] {
  if (page.numbers.length !== 2) return [];
  return page.numbers.map((number, index) => ({
    ...page,
    id: page.id.split('-')[index] ?? String(number),
    numbers: [number],
  }));
}

/** A page id for file names: numbers padded to one width, so that files sort in reading order; names as they are. */
function fileSafeId(page: Pick<IssuePage, 'id' | 'numbers'>, width: number): string {
  if (page.numbers.length === 0) return page.id;
  return page.numbers.map((number) => String(number).padStart(width, '0')).join('-');
}

/** Digits of the longest page number of the issue, leading zeros in the page list included. */
function numberWidth(pages: readonly Pick<IssuePage, 'id' | 'numbers'>[]): number {
  const known = widths.get(pages);
  if (known !== undefined) return known;
  let width = 1;
  for (const page of pages) {
    if (page.numbers.length === 0) continue;
    for (const part of page.id.split('-')) width = Math.max(width, part.length);
  }
  widths.set(pages, width);
  return width;
}

/** By page list, which nobody changes: every page asks for it. */
const widths = new WeakMap<readonly object[], number>();
