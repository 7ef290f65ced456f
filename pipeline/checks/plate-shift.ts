import type { Noticed } from '../model/findings.js';
import type { PlateShift, ShiftedPlace } from '../model/page-result.js';
import { placesAround } from '../model/places.js';

/**
 * Edges as long as this in all are told, in millimetres: fifty that open are the outline of a face, and ordinary where black line hides
 * where two fills meet; ten times as much asks for a look. A fringe is told from some words of lettering on. Own choice.
 */
const openLimitMm = 50;
const openWarnMm = 500;
const fringeLimitMm = 100;

/**
 * Says where a page does not stand plates out of register.
 * @param shift as simulated; undefined, where the job leaves that out, says nothing
 * @param source where its figure comes from
 */
export function noticeShift(shift: PlateShift | undefined, source: string): Noticed[] {
  if (shift === undefined) return [];
  const { shiftMm, openMm, fringeMm, places } = shift;
  const limitOf = (mm: number) => `${mm} mm of such edges, with plates ${shiftMm} mm out of register`;
  const noticed: Noticed[] = [];
  if (openMm > openLimitMm) {
    noticed.push({
      code: 'plates-open',
      severity: openMm > openWarnMm ? 'warn' : 'note',
      message: 'Out of register, paper shows along edges where colours of different inks meet',
      measured: `some ${Math.ceil(openMm)} mm`,
      ...worstOpen(places),
      limit: `${limitOf(openLimitMm)} (a warning above ${openWarnMm})`,
      source,
      remedy:
        'Look at the picture of plates out of register beside the proof; lay colour beneath black line, or let neighbouring colours share an ink.',
    });
  }
  if (fringeMm > fringeLimitMm) {
    noticed.push({
      code: 'plates-fringe',
      severity: 'note',
      message: 'Out of register, other inks stick out of the edges of black that is made of several inks',
      measured: [`some ${Math.ceil(fringeMm)} mm`, ...worstWords(places)].join('; '),
      limit: limitOf(fringeLimitMm),
      source,
      remedy:
        'Put black lettering and line on layers or files of their own, so that they print in black ink alone.',
    });
  }
  return noticed;
}

/** The worst places that open, boxed. */
function worstOpen(places: readonly ShiftedPlace[]): Pick<Noticed, 'places'> {
  const points = places
    .filter(({ kind }) => kind === 'open')
    .map(({ xMm, yMm, lengthMm, plate }) => ({ xMm, yMm, measured: `${plate}, ${lengthMm} mm long` }));
  const boxed = placesAround(points);
  return boxed === undefined ? {} : { places: boxed };
}

/** The worst fringes in words: they are at lettering, as on most pages, and boxes would lie over what has to be read. */
function worstWords(places: readonly ShiftedPlace[]): string[] {
  const named = places
    .filter(({ kind }) => kind === 'fringe')
    .map(({ xMm, yMm, lengthMm, plate }) => `${xMm} / ${yMm} mm (${plate}, ${lengthMm} mm long)`);
  return named.length === 0 ? [] : [`worst, from the top left of the trim: ${named.join(', ')}`];
}
