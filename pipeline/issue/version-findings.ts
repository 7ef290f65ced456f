import { figureBeside } from '../../config/figures.js';
import { accept, type Finding, type Noticed, onPage, worstOf } from '../model/findings.js';
import { movementWords } from '../model/movement.js';
import type { PageTrace, TracedPart, VersionChange } from '../model/page-result.js';
import { squaresIn, traceMatch } from '../register/traces.js';
import { leastSquares, otherLikeness, sameLikeness, versionLimitMm } from '../register/versions.js';
import type { PageRun } from './page-run.js';

/** What is to be said of new versions of a page's parts, with all pages of the issue at hand. */

/** A new version is another page's picture where it is so much more like that than like its own last version. */
const leastLead = 0.15;

/** What has to be known of a page to judge its new versions. */
type Judged = Pick<PageRun, 'page' | 'stored'> & Partial<PageRun>;

/** The findings on a page about its new versions; accepted where the job accepts them. @param runs all pages of the issue */
export function versionFindings(run: Judged, runs: readonly PageRun[]): readonly Finding[] {
  const noticed = changesOf(run).flatMap((change) => noticeOf(change, run, runs));
  const told = noticed.map((one) => onPage(run.page.id, one));
  return accept(told, run.page.accepted);
}

/**
 * Whether a page is stopped because a new version of it is wrong, although nothing is wrong with its files by themselves.
 * @param runs all pages of the issue
 */
export function isWrongVersion(run: Judged, runs: readonly PageRun[]): boolean {
  return worstOf(versionFindings(run, runs)) === 'stop';
}

/**
 * Whether a finding tells of what was there before: bundle and contact sheet leave such out, since the same pages have to give
 * the same bytes whatever was there before.
 */
export function isAboutVersions({ code }: Pick<Finding, 'code'>): boolean {
  return code.startsWith('version-');
}

function changesOf(run: Judged): readonly VersionChange[] {
  return (run.inspected === undefined ? run.stored?.versions : run.inspectedVersions) ?? [];
}

function noticeOf(change: VersionChange, run: Judged, runs: readonly PageRun[]): Noticed[] {
  if (change.verdict === 'moved') return [shifted(change)];
  if (change.verdict === 'blank') return [blank(change)];
  if (change.verdict === 'same') return [unchanged(change)];
  const owner = ownerOf(change, run, runs);
  if (owner !== undefined) return [anotherPages(change, owner)];
  // It shows what the version before the last one did, or fits the part that was not exchanged, so it is of this page.
  return change.isBack || resultOf(run)?.measures?.register?.verdict === 'fits' ? [] : [another(change)];
}

function resultOf({ inspected, stored }: Judged) {
  return inspected ?? stored?.result;
}

const partWords: Readonly<Record<TracedPart, string>> = {
  colour: 'page',
  line: 'line',
  lettering: 'lettering',
};

/** Id of the page whose picture a new version shows, as it is there now, stands in place, or was before its own last change. */
function ownerOf(change: VersionChange, run: Judged, runs: readonly PageRun[]): string | undefined {
  const { part, likeness } = change;
  const own = resultOf(run)?.traces?.[part];
  if (own === undefined || squaresIn(own) < leastSquares) return undefined;
  const others = runs.filter(({ page }) => page.id !== run.page.id);
  const ranked = others
    .flatMap((other) =>
      tracesOf(other, part).map((trace) => ({ id: other.page.id, value: traceMatch(trace, own).value })),
    )
    .sort((a, b) => b.value - a.value);
  const [first] = ranked;
  return first !== undefined && first.value >= sameLikeness && first.value - likeness >= leastLead
    ? first.id
    : undefined;
}

function tracesOf(run: PageRun, part: TracedPart): PageTrace[] {
  const before = changesOf(run).flatMap((change) => (change.part === part ? (change.traceBefore ?? []) : []));
  const results = [resultOf(run), run.lastGood?.result];
  return [...before, ...results.flatMap((result) => result?.traces?.[part] ?? [])];
}

function shifted(change: VersionChange): Noticed {
  const { part, file, fileBefore, agreeing, places } = change;
  return {
    code: 'version-shifted',
    severity: 'warn',
    file,
    message: `The new ${partWords[part]} shows the same as the last one (${fileBefore}), but not in the same place`,
    measured: `${movementWords(change, versionLimitMm)} (${agreeing} of ${places} places agree)`,
    limit: `at most ${versionLimitMm} mm anywhere on the page`,
    source: 'less than a pixel at 600 ppi: our own choice',
    remedy:
      'Export it from the canvas of the last version, or accept this in job.yaml where it was moved on purpose.',
  };
}

function another({ part, file, fileBefore, likeness }: VersionChange): Noticed {
  return {
    code: 'version-differs',
    severity: 'warn',
    file,
    message: `The new ${partWords[part]} shows another picture than the last one (${fileBefore})`,
    measured: `likeness ${figureBeside(likeness, otherLikeness, 2)}`,
    limit: `at least ${otherLikeness}`,
    source: 'measured on drawn pages, no published source',
    remedy: 'Look at the proof: it is drawn anew, or the picture of another page.',
  };
}

function unchanged({ part, file, fileBefore }: VersionChange): Noticed {
  return {
    code: 'version-unchanged',
    severity: 'warn',
    file,
    message: `The new ${partWords[part]} shows the same picture as the last one (${fileBefore}): nothing in it has changed`,
    remedy:
      'Look whether it was saved before the change was made, or with its layer hidden; or accept this in job.yaml.',
  };
}

function blank({ part, file, fileBefore }: VersionChange): Noticed {
  return {
    code: 'version-blank',
    severity: 'stop',
    file,
    message: `The new ${partWords[part]} shows next to nothing, where the last one (${fileBefore}) shows a picture`,
    remedy: `Look whether its layers were switched off when it was saved, and drop it again; or accept this in job.yaml.`,
  };
}

function anotherPages(change: VersionChange, owner: string): Noticed {
  return {
    ...another(change),
    code: 'version-of-another-page',
    severity: 'stop',
    message: `The new ${partWords[change.part]} shows the picture of page ${owner}, not what the last one showed (${change.fileBefore})`,
    limit: `less than ${sameLikeness} to any other page's, or ${leastLead} more to its own last one`,
    remedy: `Drop the ${partWords[change.part]} of this page again; or accept this in job.yaml.`,
  };
}
