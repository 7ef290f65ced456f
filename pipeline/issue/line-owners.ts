import { accept, type Finding } from '../model/findings.js';
import type { PageResult, PageTrace } from '../model/page-result.js';
import { traceMatch } from '../register/traces.js';
import type { PageRun } from './page-run.js';

/**
 * Inks on the wrong page: each page by itself can only tell that line and colour do not belong together, and often not even that. Here
 * all pages are at hand, and the one whose colour the line fits is named.
 */

/** Traces this alike are of one page: drawn pages with their own line have 0.45 and more, with another's up to 0.3. */
const ownLikeness = 0.4;

/** What a page has to be ahead of every other one. */
const leastLead = 0.15;

/**
 * Pairs of pages held beside each other at most, about a second of work: an issue of 100 pages of which all fit nobody. Pages beyond
 * that keep their findings, without the name of another page. Own choice.
 */
const mostPairs = 10_000;

/** A page of which line and colour were held beside each other. */
interface TracedPage {
  readonly run: PageRun;
  readonly result: PageResult;
  readonly traces: { readonly colour: PageTrace; readonly line: PageTrace };
}

/**
 * The findings of pages whose line fits the colour of another page clearly, by page id: that page is named. Where the page itself
 * could not tell, it does so only if the other one's own line does not fit there either: one drawing may be printed twice.
 */
export function findingsWithOwners(runs: readonly PageRun[]): ReadonlyMap<string, readonly Finding[]> {
  const traced = runs.flatMap(tracedPage);
  const doubtful = traced.filter((page) => verdictOf(page) !== 'fits' && !isAccepted(page));
  const changed = new Map<string, readonly Finding[]>();
  for (const page of doubtful.slice(0, Math.ceil(mostPairs / traced.length))) {
    const owner = ownerOf(page, traced);
    if (owner === undefined) continue;
    const isTold = verdictOf(page) === 'apart';
    if (!isTold && verdictOf(owner) === 'fits') continue;
    changed.set(page.run.page.id, named(page, owner.run.page.id));
  }
  return changed;
}

function tracedPage(run: PageRun): TracedPage[] {
  const result = run.inspected ?? run.stored?.result;
  const { colour, line } = result?.traces ?? {};
  const isPair = result?.measures?.register !== undefined && colour !== undefined && line !== undefined;
  return isPair ? [{ run, result, traces: { colour, line } }] : [];
}

function verdictOf({ result }: TracedPage) {
  return result.measures?.register?.verdict;
}

/** Whether job.yaml says already that this line is right: then nobody looks for another page that it may be of. */
function isAccepted({ run }: TracedPage): boolean {
  return run.page.accepted['line-of-another-page'] !== undefined;
}

/** The page whose colour fits the line of a page; undefined where none does clearly. */
function ownerOf(page: TracedPage, pages: readonly TracedPage[]): TracedPage | undefined {
  const { line } = page.traces;
  const ranked = pages
    .map((other) => ({ other, likeness: traceMatch(other.traces.colour, line).value }))
    .sort((a, b) => b.likeness - a.likeness);
  const [first, second] = ranked;
  const isClear = first.likeness >= ownLikeness && first.likeness - (second?.likeness ?? 0) >= leastLead;
  return isClear && first.other !== page ? first.other : undefined;
}

/** The findings with that about the line in their place; accepted where the job accepts it. */
function named({ run, result }: TracedPage, owner: string): readonly Finding[] {
  const about = (code: string) => code === 'line-of-another-page' || code === 'line-fit-unknown';
  return result.findings.flatMap((finding) => {
    if (!about(finding.code)) return [finding];
    const found: Finding = {
      ...finding,
      code: 'line-of-another-page',
      severity: 'stop',
      message: `The line belongs to another page than the colour: it fits the colour of page ${owner}`,
      remedy: `Drop the inks of this page, and those that are here as page ${owner}; or accept this in job.yaml.`,
    };
    return accept([found], run.page.accepted);
  });
}
