import type { Job } from '../../config/job.js';
import { accept, type Finding, type Noticed, onPage } from '../model/findings.js';
import type { PageResult, TracedPart } from '../model/page-result.js';
import { noticeDrift } from '../palette/swatch-hints.js';
import { areOnePicture, type OpenLook, openLook } from '../register/looks.js';
import { squaresIn } from '../register/traces.js';
import type { PageRun } from './page-run.js';
import { sceneHints, swatchesOn } from './story.js';
import { noticeUnlike } from './unlike-neighbours.js';
import { versionFindings } from './version-findings.js';

/** What is to be said of a page beside the other pages of its issue: that it shows the same as another one, is unlike all of them, or leaves its scene. */

/** Two pages show one picture where no cell of some 7 mm differs by more: two exports of one file do not. Levels of 255; own choice. */
const samePageLevels = 0.5;

/** A page of which fewer squares stand out is next to empty: end papers and chapter numbers may be alike. Own choice; a drawn page has 1,000. */
const leastSquaresTold = 200;

/** Pairs of pages held beside each other at most, some tenths of a second: as many as 2,000 pages of line make. Own choice. */
const mostPairs = 100_000;

/** Pages that are named; of more there is a count. */
const mostNamed = 5;

/** Parts in which one picture on two pages is told. Lettering of one kind, such as a running head, is on all of them. */
const comparedParts = ['colour', 'line'] as const satisfies readonly TracedPart[];

/** What a result says of a page. */
interface JudgedPage {
  readonly run: PageRun;
  readonly result: PageResult;
}

/** What is said of each page beside the last version of itself and the other pages, once all of them are at hand. */
export function findingsBeside(
  runs: readonly PageRun[],
  job: Pick<Job, 'scenes' | 'swatches'>,
): (run: PageRun) => readonly Finding[] {
  const found = samenessFindings(runs, job);
  return (run) => [...versionFindings(run, runs), ...(found.get(run.page.id) ?? [])];
}

/** Findings by page id; pages of which there is nothing to say have none. */
export function samenessFindings(
  runs: readonly PageRun[],
  { scenes, swatches }: Pick<Job, 'scenes' | 'swatches'> = { scenes: [], swatches: [] },
): ReadonlyMap<string, readonly Finding[]> {
  const judged = runs.flatMap((run): JudgedPage[] => {
    const result = run.inspected ?? run.stored?.result;
    return result === undefined || run.failure !== undefined ? [] : [{ run, result }];
  });
  const noticed = new Map<string, Noticed[]>();
  const add = (id: string, one: Noticed) => noticed.set(id, [...(noticed.get(id) ?? []), one]);
  for (const [id, one] of repeated(judged)) add(id, one);
  for (const [id, one] of noticeUnlike(judged)) add(id, one);
  const told = new Map(judged.map(({ run, result }) => [run.page.id, result.measures?.palette]));
  const coloured = runs.map(({ page }) => ({ page, palette: told.get(page.id) }));
  for (const [id, one] of sceneHints(coloured, scenes)) add(id, one);
  for (const [id, one] of noticeDrift(swatchesOn(coloured, swatches))) add(id, one);
  const found = new Map<string, readonly Finding[]>();
  for (const { run } of judged) {
    const own = noticed.get(run.page.id)?.map((one) => onPage(run.page.id, one));
    if (own !== undefined) found.set(run.page.id, accept(own, run.page.accepted));
  }
  return found;
}

/** Ids of pages that show one picture, by part in which they do. */
type Groups = Readonly<Partial<Record<TracedPart, readonly string[]>>>;

/** What is told of each page whose picture another one shows. A whole issue of one picture costs no more than one of many. */
function repeated(pages: readonly JudgedPage[]): [string, Noticed][] {
  const groupsOf = new Map<string, Groups>();
  for (const part of comparedParts) {
    for (const group of onePicture(pages, part)) {
      for (const id of group) groupsOf.set(id, { ...groupsOf.get(id), [part]: group });
    }
  }
  const inBoth = new Map<string, number>();
  for (const groups of groupsOf.values()) inBoth.set(pairOf(groups), (inBoth.get(pairOf(groups)) ?? 0) + 1);
  return [...groupsOf].map(([id, groups]) => {
    const { colour = [], line = [] } = groups;
    const shared = colour.length > 0 && line.length > 0 ? (inBoth.get(pairOf(groups)) ?? 0) : 0;
    const others = colour.length + line.length - shared - 1;
    return [id, repeats(namedOf(id, groups, groupsOf), others)];
  });
}

/** One text for all pages that are in the same groups. */
function pairOf(groups: Groups): string {
  return comparedParts.map((part) => groups[part]?.[0] ?? '').join(' ');
}

/** The first of the other pages, each with the parts in which it shows the same. */
function namedOf(id: string, groups: Groups, groupsOf: ReadonlyMap<string, Groups>): string[] {
  const named = new Map<string, string>();
  for (const group of comparedParts.map((part) => groups[part] ?? [])) {
    for (const other of group) {
      if (named.size === mostNamed) break;
      const parts = comparedParts.filter(
        (part) => groups[part] && groups[part] === groupsOf.get(other)?.[part],
      );
      if (other !== id) named.set(other, `${other} (${parts.join(' and ')})`);
    }
  }
  return [...named.values()];
}

/** A page's part as it is compared. */
interface Compared {
  readonly id: string;
  readonly columns: number;
  readonly rows: number;
  readonly look: OpenLook;
}

/** Looks that were opened: an issue is looked at again and again, and its pages stay. */
const opened = new WeakMap<PageResult, Partial<Record<TracedPart, OpenLook | null>>>();

/** The look of a part; undefined where it shows too little to be taken for another's. */
function lookOf(result: PageResult, part: TracedPart): OpenLook | undefined {
  const known = opened.get(result) ?? {};
  opened.set(result, known);
  const trace = result.traces?.[part];
  if (known[part] === undefined) {
    const tells = trace?.look !== undefined && squaresIn(trace) >= leastSquaresTold;
    known[part] = tells && trace.look !== undefined ? openLook(trace.look) : null;
  }
  return known[part] ?? undefined;
}

/** Ids of pages that show one picture, in groups. Only those whose mean is the same are held beside each other. */
function onePicture(pages: readonly JudgedPage[], part: TracedPart): string[][] {
  const compared = pages.flatMap(({ run, result }): Compared[] => {
    const look = lookOf(result, part);
    const trace = result.traces?.[part];
    return look === undefined || trace === undefined ? [] : [{ id: run.page.id, ...trace, look }];
  });
  compared.sort((a, b) => a.look.mean - b.look.mean);
  const groups: { readonly first: Compared; readonly ids: string[] }[] = [];
  let [begun, pairs] = [0, 0];
  for (const page of compared) {
    while (begun < groups.length && page.look.mean - groups[begun].first.look.mean > samePageLevels) begun++;
    let at = begun;
    while (at < groups.length && pairs++ < mostPairs && !areSame(groups[at].first, page)) at++;
    if (at < groups.length && pairs <= mostPairs) groups[at].ids.push(page.id);
    else groups.push({ first: page, ids: [page.id] });
  }
  return groups.filter(({ ids }) => ids.length > 1).map(({ ids }) => ids);
}

function areSame(one: Compared, other: Compared): boolean {
  const isOneShape = one.columns === other.columns && one.rows === other.rows;
  return isOneShape && areOnePicture(one.look, other.look, samePageLevels);
}

function repeats(named: readonly string[], others: number): Noticed {
  const more = others - named.length;
  return {
    code: 'page-repeated',
    severity: 'warn',
    message: `It shows the same picture as page ${named.join(', ')}${more > 0 ? ` and ${more} more` : ''}`,
    measured: `no place differs by more than ${samePageLevels} levels of 255`,
    limit: 'a picture of its own on each page',
    source: 'own choice',
    remedy: 'Drop the right file for one of these pages, or accept this on each of them where it is meant.',
  };
}
