import type { IssuePage } from '../../config/job.js';
import { bleedBox } from '../../config/print-spec.js';
import type { Place } from '../model/findings.js';
import type { NotePlace } from '../model/page-notes.js';
import type { ReportedBox, ReportedNote, ReportedPage } from '../report/report-form.js';
import type { ChangeSince } from './changes-since.js';

/** Where things lie on the pictures of the report, in percent of these. */

/** A box is drawn at least as large as this, in percent of the picture's width: a speck could not be seen. Own choice. */
export const leastBoxPercent = 2;

/** Where a place lies on a picture of trim plus bleed; what reaches beyond the picture is cut off. */
export function boxOf(
  place: Omit<Place, 'measured'>,
  spec: IssuePage['spec'],
  leastPercent: number,
): ReportedBox {
  const { widthMm, heightMm } = bleedBox(spec);
  const leastMm = (widthMm * leastPercent) / 100;
  const across = span(place.xMm + spec.bleedMm, place.widthMm, leastMm, widthMm);
  const down = span(place.yMm + spec.bleedMm, place.heightMm, leastMm, heightMm);
  return {
    leftPercent: across.from,
    topPercent: down.from,
    widthPercent: across.length,
    heightPercent: down.length,
  };
}

function span(fromMm: number, lengthMm: number, leastMm: number, wholeMm: number) {
  const more = Math.max(0, leastMm - lengthMm) / 2;
  const least = Math.min(leastMm, wholeMm);
  const start = Math.min(Math.max(0, fromMm - more), wholeMm - least);
  const end = Math.min(wholeMm, Math.max(fromMm + lengthMm + more, start + least));
  return { from: percentOf(start, wholeMm), length: percentOf(end - start, wholeMm) };
}

/** To a hundredth: a fraction of a pixel of any picture. */
function percentOf(mm: number, wholeMm: number): number {
  return Math.round((mm / wholeMm) * 10_000) / 100;
}

/** The point of a note. */
export function pinOf({ xMm, yMm }: NotePlace, spec: IssuePage['spec']): ReportedNote['pin'] {
  const { widthMm, heightMm } = bleedBox(spec);
  const within = (mm: number, wholeMm: number) => percentOf(Math.min(wholeMm, Math.max(0, mm)), wholeMm);
  return {
    leftPercent: within(xMm + spec.bleedMm, widthMm),
    topPercent: within(yMm + spec.bleedMm, heightMm),
  };
}

/** Places of halves of a spread count from the trim of the half, and have no box on the whole. */
export function reportedChange(
  { round, comparison }: ChangeSince,
  spec: IssuePage['spec'],
): ReportedPage['since'] {
  const { verdict, why, before, now, pictures } = comparison;
  const whole = pictures.filter(({ half }) => half === undefined);
  const names = (used: typeof before) => used.map(({ name }) => name);
  return {
    ...{ round, verdict, why, before: names(before), now: names(now) },
    placesInAll: whole.reduce((sum, { placesInAll }) => sum + placesInAll, 0),
    places: whole
      .flatMap(({ places }) => places)
      .map((place, at) => ({
        ...{ number: `${at + 1}`, xMm: place.xMm, yMm: place.yMm },
        ...{ widthMm: place.widthMm, heightMm: place.heightMm, measured: place.measured },
        box: boxOf(place, spec, leastBoxPercent),
      })),
  };
}
