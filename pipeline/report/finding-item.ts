import type { LengthUnit } from '../../config/units.js';
import { apart, type Html, html } from './html.js';
import type { ReportedFinding, ReportedPlace } from './report-form.js';
import { boxId, findingId, placeWords, severityMark } from './words.js';

/** Places that are listed at once; the others open beneath them. Own choice. */
const listedAtOnce = 4;

/** A finding in the list of its page: what, found against wanted with the source, where, what to do. */
export function findingItem(page: string, finding: ReportedFinding, units: LengthUnit): Html {
  const { number, code, severity, message, remedy, accepted, file } = finding;
  return html`
<li id="${findingId(page, finding)}" class="finding ${severity}" data-kind="${code}">
<h4>${number}. ${severityMark(severity)} ${apart(message)}</h4>
<dl>${foundAgainstWanted(finding)}${whereOf(page, finding, units)}
<dt>To do</dt><dd>${apart(remedy)}</dd>${pair('Accepted', accepted)}${pair('File', file, 'name')}
<dt>Kind</dt><dd><code>${code}</code></dd></dl></li>`;
}

function pair(term: string, text: string | null, name?: string): Html | undefined {
  if (text === null) return undefined;
  return html`
<dt>${term}</dt><dd>${apart(text, name)}</dd>`;
}

function foundAgainstWanted({ measured, limit, source }: ReportedFinding): Html[] {
  const wanted = limit ?? (source === null ? null : 'as the source says');
  return [
    pair('Found', measured),
    wanted === null
      ? undefined
      : html`
<dt>Wanted</dt><dd>${apart(wanted)}${source === null ? undefined : html` <span class="source">(${apart(source)})</span>`}</dd>`,
  ].filter((part) => part !== undefined);
}

function whereOf(
  page: string,
  { places, placesInAll }: ReportedFinding,
  units: LengthUnit,
): Html | undefined {
  if (places.length === 0) return undefined;
  const link = (place: ReportedPlace) =>
    html`<li><a href="#${boxId(page, place)}">${place.number}</a> ${placeWords(place, units)}</li>`;
  const first = places.slice(0, listedAtOnce).map(link);
  const others = places.slice(listedAtOnce).map(link);
  const more =
    others.length === 0
      ? undefined
      : html`<details><summary>${others.length} more${placesInAll > places.length ? ` of ${placesInAll} in all` : ''}</summary><ul>${others}</ul></details>`;
  return html`
<dt>Where</dt><dd><ul>${first}</ul>${more}${edgeWords(places)}</dd>`;
}

/** Somebody who measures on paper has to know from where. */
function edgeWords(places: readonly ReportedPlace[]): Html {
  const reaches = places.some(({ xMm, yMm }) => xMm < 0 || yMm < 0);
  return html`<span class="source">from the left / top of the trim, width x height${reaches ? '; negative in the bleed' : ''}</span>`;
}
