import { exitCode, PlatehandError } from '../../config/errors.js';
import { visible } from '../../config/visible-text.js';
import type { IssueReport, LeftOutPage } from '../issue/report.js';
import { earlierOption } from '../issue/version-before.js';
import type { NoteMistake } from '../rounds/notes-files.js';

/** Why a delivery is refused, in words that say what to do. */

/** The delivery was refused because the issue is not complete; carries what is open. */
export class IncompleteIssueError extends PlatehandError {
  /** The pages that are open, with why. */
  readonly blocking: readonly LeftOutPage[];
  /** What the run found. */
  readonly report: IssueReport;

  /**
   * @param report what the run found
   * @param blocking the pages that are open
   * @param isSupplement whether only these pages were asked for, so that they cannot be left out
   */
  constructor(report: IssueReport, blocking: readonly LeftOutPage[], isSupplement = false) {
    const list = [
      ...blocking.map(({ page, state, why }) => `  page ${page} is ${state}: ${why}`),
      ...unusedLines(report),
    ]
      .map(visible)
      .join('\n');
    const open = report.pages.filter(({ page }) => blocking.some((one) => one.page === page));
    const earlier = earlierOption(open);
    const before = earlier === undefined ? '' : `; or deliver the version before: ${earlier}`;
    const pages = blocking.length === 1 ? '1 page is' : `${blocking.length} pages are`;
    const whole = isSupplement ? 'The supplement' : 'The issue';
    super(
      'issue-incomplete',
      `${whole} is not complete, ${pages} not ready:\n${list}\nNothing was delivered`,
      isSupplement
        ? `Settle these pages, or name only the others with --pages${before}.`
        : `Settle these pages, or deliver without them: platehand deliver --partial --reason "why"${before}.`,
      { exitCode: exitCode.incomplete },
    );
    this.blocking = blocking;
    this.report = report;
  }
}

/** Files that lie in incoming/ and belong to no page as they are: one of them may be what is missing. */
function unusedLines({ unknown, passedOver }: IssueReport): string[] {
  const told = [...unknown, ...passedOver].filter(({ remedy }) => remedy !== '');
  return told.map(({ name, rule }) => `  ${JSON.stringify(name)} is not used: ${rule}`);
}

/** A disk that is full says nothing about the pages: to deliver without them would be no way out. */
export function refuseDiskFailure({ pages }: IssueReport): void {
  const failed = pages.flatMap(({ findings }) => findings).find(({ code }) => code === 'write-failed');
  if (failed === undefined) return;
  const { message, remedy, page } = failed;
  throw new PlatehandError('write-failed', message, remedy, { place: page === undefined ? {} : { page } });
}

/** Mistakes that are named; the others are counted. */
const mostMistakes = 20;

/** What could not be read may be what keeps a page from being accepted. */
export function refuseNoteMistakes(mistakes: readonly NoteMistake[]): void {
  if (mistakes.length === 0) return;
  const named = mistakes.slice(0, mostMistakes).map(({ file, line, column, message, remedy }) => {
    return visible(`  ${file}:${line}:${column}: ${message}. ${remedy}`);
  });
  const more = mistakes.length > mostMistakes ? [`  and ${mistakes.length - mostMistakes} more`] : [];
  const list = [...named, ...more].join('\n');
  throw new PlatehandError(
    'issue-incomplete',
    `The notes have mistakes, and what cannot be read may keep a page from being accepted:\n${list}\nNothing was delivered`,
    'Correct these lines, or take needs: accepted out of job.yaml.',
    { exitCode: exitCode.incomplete },
  );
}

/** A page that counts as ready always has its press file; if ever it has not, a bundle must not hide that. */
export function nothingToPrint(page: string): PlatehandError {
  return new PlatehandError(
    'bundle-failed',
    'The page has no press file although it counts as ready, so nothing was delivered',
    'Remove the folder .platehand and run the pages again; if that does not help, report this as a fault.',
    { place: { page } },
  );
}

/** A supplement before there was any delivery. */
export function nothingToSupplement(): PlatehandError {
  const remedy = 'Deliver the issue first: platehand deliver, or platehand deliver --partial --reason "why".';
  return new PlatehandError(
    'wrong-use',
    'There is no delivery yet that these pages could supplement',
    remedy,
  );
}
