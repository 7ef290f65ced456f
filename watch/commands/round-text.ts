import { counted, sentence } from '../../config/figures.js';
import type { FrozenRound, IssueComparison, PageComparison } from '../../pipeline/index.js';
import { summaryOf } from '../../pipeline/issue/report.js';
import { type Paint, stateColour } from './report-text.js';

/** Rounds and comparisons in words. */

const mebibyte = 1024 * 1024;

/** What was frozen, and what has changed since the round before. */
export function roundText(frozen: FrozenRound, paint: Paint): string {
  const { round, folder, before, files, proofsBytes, pages, comparisons, report } = frozen;
  const width = Math.max(4, ...pages.map(({ page }) => page.length));
  const lines = pages.map(({ page, state, change }) => {
    const colour = stateColour[state as keyof typeof stateColour] ?? 'yellow';
    const why = comparisons.find((one) => one.page === page);
    const said = change === 'changed' && why !== undefined ? `changed: ${sentence(why.why)}` : change;
    const since = before === undefined || change === 'absent' ? '' : said;
    return `  ${page.padEnd(width)}  ${paint(colour, state.padEnd(9))}  ${since}`.trimEnd();
  });
  lines.push('', `Round ${round} is frozen in ${folder}: ${frozen.summary}.`);
  lines.push(`Proofs to mail: ${files.proofs}, ${(proofsBytes / mebibyte).toFixed(1)} MB`);
  lines.push(`Contact sheet: ${files.contactSheet}`);
  lines.push(`Notes to fill in: ${files.notesCsv} or ${files.notesYaml}`);
  lines.push(`${report.issue}: ${summaryOf(report)}.`);
  return lines.join('\n');
}

const verdictColours = {
  unchanged: 'green',
  changed: 'yellow',
  new: 'yellow',
  gone: 'red',
  absent: 'dim',
  size: 'yellow',
  press: 'yellow',
  unknown: 'red',
} as const satisfies Record<PageComparison['verdict'], Parameters<Paint>[0]>;

/** How many places of a page are written out; the others are in its picture. */
const listedPlaces = 5;

/** What became of each page. */
export function comparisonText({ since, pages, unchanged }: IssueComparison, paint: Paint): string {
  const lines = [`Compared with ${since.name}`, ''];
  const width = Math.max(4, ...pages.map(({ page }) => page.length));
  for (const page of pages) {
    const { verdict, why, pictures } = page;
    lines.push(
      `  ${page.page.padEnd(width)}  ${paint(verdictColours[verdict], verdict.padEnd(9))}  ${sentence(why)}`,
    );
    if (verdict === 'unchanged' || verdict === 'absent') continue;
    const indent = ' '.repeat(width + 15);
    const [before, now] = [page.before, page.now].map(namesOf);
    if (before !== now) lines.push(`${indent}${before} -> ${now}`);
    for (const { places, placesInAll } of pictures) {
      for (const [at, { xMm, yMm, widthMm, heightMm, measured }] of places.slice(0, listedPlaces).entries()) {
        lines.push(`${indent}${at + 1}. at ${xMm} / ${yMm} mm, ${widthMm} x ${heightMm} mm: ${measured}`);
      }
      if (placesInAll > listedPlaces) lines.push(`${indent}${placesInAll} places in all`);
    }
    for (const picture of page.files) lines.push(`${indent}Picture: ${picture}`);
  }
  lines.push(
    '',
    `${counted(pages.length, 'page')} compared, ${unchanged} unchanged. Places count from the upper left corner of the trim.`,
  );
  return lines.join('\n');
}

function namesOf(used: PageComparison['before']): string {
  return used.length === 0 ? 'nothing' : used.map(({ name }) => name).join(', ');
}
