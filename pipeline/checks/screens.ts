import { limitSource } from '../../config/check-limits/index.js';
import { mmPerInch } from '../../config/units.js';
import type { LineFaults } from '../line-faults/measure-line.js';
import type { Screen } from '../line-faults/screens.js';
import type { Noticed } from '../model/findings.js';
import { placesOf } from '../model/places.js';
import type { FitPlan } from '../sizes/plan-fit.js';
import { type CheckedLine, pictureOf } from './thin-line.js';

/** A ruling this near to the press's, as a share of it, shows moire with it. Own choice. */
const nearPress = 0.15;

/** Line that was resized by less than this share has its pixels still: rounding of sizes. */
const noScale = 5e-4;

/**
 * Says where line holds screened tone, of which ruling and angle, and whether it is at risk of moire: because the line was resized on
 * its way, or because its ruling is near to that which the press screens colour with.
 * @param plan how the line was brought to its print size; undefined where that is not known
 */
export function noticeScreens(
  { screens }: LineFaults,
  on: CheckedLine,
  plan: Pick<FitPlan, 'crop'> | undefined,
): Noticed[] {
  if (screens.length === 0) return [];
  const { pressScreenLpi } = on.spec.checks;
  const scale = plan === undefined ? 1 : on.size.width / plan.crop.width;
  if (Math.abs(scale - Math.round(scale)) > noScale) return [resized(screens, on, scale)];
  const isNear = screens.some(({ lpi }) => Math.abs(lpi / pressScreenLpi - 1) <= nearPress);
  return [isNear ? nearToPress(screens, on) : screened(screens, on)];
}

type Found = readonly Screen[];

function screened(screens: Found, on: CheckedLine): Noticed {
  return {
    code: 'line-screened',
    severity: 'note',
    message: 'The line holds screened tone, which prints dot by dot as it is',
    ...found(screens, on),
    remedy: 'Nothing; leave such line at its size.',
  };
}

function resized(screens: Found, on: CheckedLine, scale: number): Noticed {
  return {
    code: 'line-moire',
    severity: 'warn',
    message: 'The line holds screened tone and was resized on its way to print: its dots may show moire',
    ...found(screens, on),
    limit: `line at its print size; it was resized to ${(scale * 100).toFixed(1)} %`,
    source: 'common practice, no published source',
    remedy:
      'Drop the line at the size and resolution of the line plate, or lay the tone on again at print size.',
  };
}

function nearToPress(screens: Found, on: CheckedLine): Noticed {
  const { checks } = on.spec;
  return {
    code: 'line-moire',
    severity: 'warn',
    message: 'The line holds screened tone about as fine as the press screens colour: the two may show moire',
    ...found(screens, on),
    limit: `more than ${nearPress * 100} % away from ${checks.pressScreenLpi} lines/inch`,
    source: limitSource(checks, 'pressScreenLpi'),
    remedy:
      'Lay a coarser tone, or let the printer say which screen is used (checks: pressScreenLpi in job.yaml).',
  };
}

/** What was measured, and where: the largest areas first. */
function found(screens: Found, on: CheckedLine): Pick<Noticed, 'measured' | 'places'> {
  const areas = screens.flatMap((screen) =>
    screen.areas.map((area) => ({ ...area, measured: inWords(screen) })),
  );
  areas.sort((a, b) => b.width * b.height - a.width * a.height);
  const places = placesOf(areas, pictureOf(on));
  return { measured: screens.map(inWords).join('; '), ...(places === undefined ? {} : { places }) };
}

/** `dots, 60.0 lines/inch (23.6/cm) at 45.00 degrees`. */
function inWords({ kind, lpi, degrees }: Screen): string {
  const perCm = (lpi * 10) / mmPerInch;
  return `${kind}, ${lpi.toFixed(1)} lines/inch (${perCm.toFixed(1)}/cm) at ${degrees.toFixed(2)} degrees`;
}
