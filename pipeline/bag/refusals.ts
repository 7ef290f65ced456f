import { exitCode, PlatehandError } from '../../config/errors.js';
import { counted } from '../../config/figures.js';
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
  /** Mistakes in notes files, where the job needs pages to be accepted: what cannot be read may keep a page from that. */
  readonly noteMistakes: readonly NoteMistake[];

  /**
   * @param report what the run found
   * @param blocking the pages that are open
   * @param isSupplement whether only these pages were asked for, so that they cannot be left out
   * @param noteMistakes that refuse the delivery; default none
   */
  constructor(
    report: IssueReport,
    blocking: readonly LeftOutPage[],
    isSupplement = false,
    noteMistakes: readonly NoteMistake[] = [],
  ) {
    const list = [
      ...blocking.map(({ page, state, why }) => `  page ${page} is ${state}: ${why}`),
      ...(blocking.length === 0 ? [] : unusedLines(report)),
      ...mistakeLines(noteMistakes),
    ]
      .map(visible)
      .join('\n');
    const open = report.pages.filter(({ page }) => blocking.some((one) => one.page === page));
    const earlier = earlierOption(open);
    const before = earlier === undefined ? '' : `; or deliver the version before: ${earlier}`;
    const whole = isSupplement ? 'The supplement' : 'The issue';
    super(
      'issue-incomplete',
      `${whole} is not complete, ${openWords(blocking, noteMistakes)}:\n${list}\nNothing was delivered`,
      remedyFor({ isSupplement, hasMistakes: noteMistakes.length > 0, before }),
      { exitCode: exitCode.incomplete },
    );
    this.blocking = blocking;
    this.report = report;
    this.noteMistakes = noteMistakes;
  }
}

/** `2 pages are not ready`, `1 page is not ready and the notes have 3 mistakes`. */
function openWords(blocking: readonly LeftOutPage[], mistakes: readonly NoteMistake[]): string {
  const count = blocking.length;
  const pages = count === 0 ? [] : [count === 1 ? '1 page is not ready' : `${count} pages are not ready`];
  const notes = mistakes.length === 0 ? [] : [`the notes have ${counted(mistakes.length, 'mistake')}`];
  return [...pages, ...notes].join(' and ');
}

function remedyFor(about: {
  readonly isSupplement: boolean;
  readonly hasMistakes: boolean;
  readonly before: string;
}): string {
  const { isSupplement, hasMistakes, before } = about;
  if (hasMistakes) {
    return 'Correct the lines named, since what cannot be read may keep a page from being accepted, and settle the pages.';
  }
  return isSupplement
    ? `Settle these pages, or name only the others with --pages${before}.`
    : `Settle these pages, or deliver without them: platehand deliver --partial --reason "why"${before}.`;
}

/** Mistakes that are named; the others are counted. */
const mostMistakes = 20;

function mistakeLines(mistakes: readonly NoteMistake[]): string[] {
  const named = mistakes.slice(0, mostMistakes).map(({ file, line, column, message, remedy }) => {
    return `  ${file}:${line}:${column}: ${message}. ${remedy}`;
  });
  return mistakes.length > mostMistakes ? [...named, `  and ${mistakes.length - mostMistakes} more`] : named;
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
