import { counted } from '../../config/figures.js';
import type { IssueStatus, PageReport } from '../../pipeline/index.js';
import type { Paint } from './report-text.js';

/** What editors wrote, as `status` prints it. */

/** Mistakes that are printed; `status --json` has them all. */
const mostMistakes = 20;

/** Notes of one page that are printed. */
const mostNotes = 10;

/** Characters of a note that are printed. */
const mostCharacters = 90;

/** Nothing for an issue without notes and verdicts. */
export function notesLines({ editors, noteMistakes, report }: IssueStatus, paint: Paint): string[] {
  const { open, answered, closed, accepted } = editors;
  const isSilent = report.pages.every(({ notes, acceptance }) => {
    return notes.length === 0 && acceptance.state === 'not judged';
  });
  const mistakes = mistakeLines(noteMistakes, paint);
  if (isSilent) return mistakes;
  const notes = `${counted(open, 'note')} open, ${answered} answered, ${closed} closed`;
  const head = `Editors: ${notes}; ${accepted} of ${counted(report.pages.length, 'page')} accepted.`;
  return ['', head, ...report.pages.flatMap((page) => pageLines(page, paint)), ...mistakes];
}

function pageLines({ page, notes, acceptance }: PageReport, paint: Paint): string[] {
  const left = notes.filter(({ state }) => state !== 'closed');
  const isTold = left.length > 0 || ['change', 'changed since'].includes(acceptance.state);
  if (!isTold) return [];
  const width = Math.max(...left.map(({ name }) => name.length), 1);
  const lines = left.slice(0, mostNotes).map(({ name, state, cell, text }) => {
    const mark = paint(state === 'open' ? 'yellow' : 'green', state.padEnd(8));
    return `    ${name.padEnd(width)}  ${mark}  ${(cell ?? '').padEnd(3)}  ${shortened(text)}`.trimEnd();
  });
  const more =
    left.length > mostNotes ? [`    and ${left.length - mostNotes} more: platehand status --json`] : [];
  return [`  page ${page}: ${acceptance.why}`, ...lines, ...more];
}

/** On one line; line breaks have been written out by now. */
function shortened(text: string): string {
  const characters = [...text.replace(/\\n/g, ' ')];
  if (characters.length === 0) return '(no words)';
  return characters.length > mostCharacters
    ? `${characters
        .slice(0, mostCharacters - 1)
        .join('')
        .trimEnd()}\u2026`
    : characters.join('');
}

function mistakeLines(mistakes: IssueStatus['noteMistakes'], paint: Paint): string[] {
  if (mistakes.length === 0) return [];
  const lines = mistakes.slice(0, mostMistakes).map(({ file, line, column, message, remedy }) => {
    return `  ${file}:${line}:${column}: ${message}. ${remedy}`;
  });
  const more =
    mistakes.length > mostMistakes
      ? [`  and ${mistakes.length - mostMistakes} more: platehand status --json`]
      : [];
  const head = `${counted(mistakes.length, 'mistake')} in notes; everything else in them counts:`;
  return ['', paint('yellow', head), ...lines, ...more];
}
