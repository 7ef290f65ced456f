import { formatMeasured, sentence } from '../../config/figures.js';
import type { LengthUnit } from '../../config/units.js';
import { apart, type Html, html, idOf } from './html.js';
import type { ReportedNote, ReportedPage } from './report-form.js';
import { noteId, pageWords } from './words.js';

/** What editors wrote about a page: pins on its pictures, and the notes with their states beside them. */

/** The notes that have a pin on the page's picture, if it has one: closed ones are listed only. */
export function pinned({ notes, pictures }: ReportedPage): readonly ReportedNote[] {
  return pictures === null ? [] : notes.filter(({ pin, state }) => pin !== null && state !== 'closed');
}

/** The pins of a page; undefined for a page without any. */
export function pins(page: ReportedPage): Html | undefined {
  const shown = pinned(page);
  if (shown.length === 0) return undefined;
  return html`<span class="pins" role="group" aria-label="Places of notes">${shown.map((note) => pinOf(page.page, note))}</span>`;
}

function pinOf(page: string, note: ReportedNote): Html {
  const at = `left:${note.pin?.leftPercent}%;top:${note.pin?.topPercent}%`;
  return html`<a class="pin ${note.state}" id="${idOf('pin', page, note.number)}" href="#${noteId(page, note)}" tabindex="-1" style="${at}"><b>${note.number}</b></a>`;
}

/** What shows or hides pins; undefined for a page without any. */
export function pinsSwitch(page: ReportedPage): Html | undefined {
  if (pinned(page).length === 0) return undefined;
  const id = idOf('k', page.page);
  return html`<input type="checkbox" id="${id}" class="marks pinned" checked><label for="${id}">Notes</label>
`;
}

/** The verdict and the notes; undefined for a page of which no editor has said anything. */
export function noteList(page: ReportedPage, units: LengthUnit): Html | undefined {
  const { notes, acceptance } = page;
  if (notes.length === 0 && acceptance.state === 'not judged') return undefined;
  const list = html`<ol class="notes" role="list" aria-label="Notes on ${pageWords(page)}">${notes.map((note) => noteItem(page, note, units))}
</ol>`;
  return html`
<h4>Editors: ${acceptance.why}</h4>
${notes.length === 0 ? undefined : list}`;
}

function noteItem(page: ReportedPage, note: ReportedNote, units: LengthUnit): Html {
  const { number, state, name, text, closedBy } = note;
  const lines =
    text === ''
      ? [html`(no words)`]
      : text.split('\n').map((line, at) => html`${at === 0 ? undefined : html`<br>`}${apart(line)}`);
  const closed =
    closedBy === null ? undefined : html` <span class="source">${apart(sentence(closedBy))}.</span>`;
  return html`
<li id="${noteId(page.page, note)}" class="editors ${state}"><b class="number">${number}</b> <span class="state">${state}</span> ${apart(name, 'name')}${whereOf(page, note, units)}
<p>${lines}${closed}</p></li>`;
}

function whereOf(page: ReportedPage, note: ReportedNote, units: LengthUnit): Html | undefined {
  const { number, xMm, yMm, cell } = note;
  if (xMm === null || yMm === null) return undefined;
  const at = `${cell === null ? '' : `${cell}, `}${formatMeasured(xMm, units).replace(` ${units}`, '')} / ${formatMeasured(yMm, units)}`;
  const isPinned = pinned(page).includes(note);
  return isPinned ? html` <a href="#${idOf('pin', page.page, number)}">${at}</a>` : html` ${at}`;
}
