import { sentence } from '../../config/figures.js';
import type { LengthUnit } from '../../config/units.js';
import { apart, type Html, html, idOf } from './html.js';
import type { ReportedPage, ReportedPlace } from './report-form.js';
import { placeWords, styleOf } from './words.js';

/** What became of a page since a review round: figures, places, and boxes that can be laid over its picture. */

type Since = NonNullable<ReportedPage['since']>;

/** Places that are listed at once; the others open beneath them. Own choice. */
const listedAtOnce = 4;

const heads: Readonly<Record<string, string>> = {
  changed: 'Changed since',
  new: 'New since',
  gone: 'Gone since',
  size: 'Of another size than in',
  press: 'For another press condition than in',
};

function headOf({ verdict, round }: Since): string {
  return `${heads[verdict] ?? 'Not to be compared with'} round ${round}`;
}

/** Beside the picture: what changed, with figures and places, and of which files it was made then. */
export function sinceSection(page: string, since: Since, units: LengthUnit): Html {
  const { why, before, now, places, placesInAll } = since;
  const files =
    before.join() === now.join()
      ? undefined
      : html`<p class="facts">${names(before)} \u2192 ${names(now)}</p>`;
  const item = (place: ReportedPlace) =>
    html`<li><a href="#${changeId(page, place)}">${place.number}</a> ${placeWords(place, units)}</li>`;
  const others = places.slice(listedAtOnce).map(item);
  const more =
    others.length === 0
      ? undefined
      : html`<details><summary>${others.length} more${placesInAll > places.length ? ` of ${placesInAll} in all` : ''}</summary><ul>${others}</ul></details>`;
  const list =
    places.length === 0 ? undefined : html`<ul>${places.slice(0, listedAtOnce).map(item)}</ul>${more}`;
  return html`<div class="since"><h4>${headOf(since)}</h4>
<p>${apart(sentence(why))}</p>${files}
${list}</div>`;
}

function names(files: readonly string[]): Html {
  if (files.length === 0) return html`nothing`;
  return html`${files.map((file, at) => html`${at === 0 ? '' : ', '}${apart(file, 'name')}`)}`;
}

/** Switches the boxes of changes on; they are off at first, so that they hide nobody's findings. */
export function changesSwitch({ page, since }: ReportedPage): Html | undefined {
  if (since === null || since.places.length === 0) return undefined;
  const id = idOf('s', page);
  return html`<input type="checkbox" id="${id}" class="marks changed"><label for="${id}">${headOf(since)}</label>
`;
}

/** Boxes over the picture. */
export function changeBoxes({ page, since }: ReportedPage): Html | undefined {
  if (since === null || since.places.length === 0) return undefined;
  const boxes = since.places.map(
    (place) =>
      html`<span class="box change" id="${changeId(page, place)}" style="${styleOf(place.box)}"><b>${place.number}</b></span>`,
  );
  return html`<span class="changes" role="group" aria-label="Places that changed">${boxes}</span>`;
}

function changeId(page: string, { number }: ReportedPlace): string {
  return idOf('c', page, number);
}
