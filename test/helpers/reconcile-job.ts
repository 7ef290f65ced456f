import type { FilePart, IssuePage, NameAssignment } from '../../config/job.js';
import { builtInPartWords } from '../../config/job-file/part-words.js';
import { coverNames } from '../../config/words/word-tables.js';
import type { IncomingFile, PageMatch, Reconciliation } from '../../pipeline/model/reconciliation.js';
import { type ReconcileJob, reconcile } from '../../pipeline/reconcile.js';

/** A page of a test issue; reconciling never looks at the print spec. */
export function testPage(id: string, numbers: readonly number[], more: Partial<IssuePage> = {}): IssuePage {
  return {
    id,
    kind: numbers.length === 0 ? 'cover' : 'interior',
    numbers,
    aliases: [],
    scene: undefined,
    needs: undefined,
    heldReason: undefined,
    accepted: {},
    register: { line: 'off' },
    clean: 'off',
    spec: {} as IssuePage['spec'],
    ...more,
  };
}

/** Single pages `first` to `last`. */
export function testPages(first: number, last: number): IssuePage[] {
  return Array.from({ length: last - first + 1 }, (_, at) => testPage(String(first + at), [first + at]));
}

/** The issue SHN04, number 4, The Long Night, with the page list that test/pipeline/name-cases.ts describes. */
export const testJob: ReconcileJob = {
  issue: 'SHN04',
  title: 'The Long Night',
  number: 4,
  scenes: [{ id: 'harbour', title: 'Harbour, noon' }],
  pages: [
    testPage('cover', [], { aliases: coverNames.cover.slice(1) }),
    testPage('inside-front-cover', [], { aliases: coverNames['inside-front-cover'].slice(1) }),
    ...testPages(1, 11),
    testPage('12-13', [12, 13]),
    ...testPages(14, 24),
    testPage('70', [70]),
    testPage('couverture-arrière', []),
    testPage('cover-b', []),
    testPage('back-cover', [], { aliases: coverNames['back-cover'].slice(1) }),
  ],
  assignments: new Map(),
  partWords: builtInPartWords,
  codes: [],
  letters: {},
  ignoreWords: [],
};

/** Files of those names, none of them empty. */
export function testFiles(...names: readonly string[]): IncomingFile[] {
  return names.map((name) => ({ name, bytes: 1000, mtimeMs: 0 }));
}

/** The test issue with something else in it. */
export const jobWith = (more: Partial<ReconcileJob>): ReconcileJob => ({ ...testJob, ...more });

/** An issue of page 7 alone. */
export const onePage = (more: Partial<IssuePage> = {}): ReconcileJob =>
  jobWith({ pages: [testPage('7', [7], more)] });

/** Reconciles files of those names. */
export const match = (job: ReconcileJob, ...names: readonly string[]): Reconciliation =>
  reconcile(job, testFiles(...names));

/** What a reconciliation says about one page. */
export function matchOf(found: Reconciliation, id: string): PageMatch {
  const page = found.pages.find((each) => each.page === id);
  if (page === undefined) throw new Error(`no page ${id}`);
  return page;
}

/** What files of those names make of page 7. */
export const seven = (job: ReconcileJob, ...names: readonly string[]): PageMatch =>
  matchOf(match(job, ...names), '7');

/** The files used for a page, each with its part. */
export const used = (page: PageMatch): string[] => page.files.map((file) => `${file.name} as ${file.part}`);

/** The word of job.yaml that a file is a page's part. */
export const asPage = (page: string, part: FilePart = 'whole'): NameAssignment => ({
  kind: 'page',
  page,
  part,
  picture: undefined,
});
