import { type CheckLimits, limitSource } from '../../config/check-limits/index.js';
import { counted, figureBeside, formatLength, formatMeasured } from '../../config/figures.js';

import { type LengthUnit, pxToMm } from '../../config/units.js';
import type { FoundBoxes } from '../flats/found-boxes.js';
import { type FlatsMeasures, mostLoosePercent, noisyFromPercent } from '../flats/measure-flats.js';
import type { FoundPlaces, Noticed } from '../model/findings.js';

/** What flats are judged by, and where. */
export interface FlatsJudged {
  readonly limits: CheckLimits;
  /** Pixels per inch of the flats at print size. */
  readonly ppi: number;
  readonly units: LengthUnit;
  /** Boxes on the flats as places on the page; undefined for flats of another shape than the page. */
  readonly placesOf: (found: FoundBoxes) => FoundPlaces | undefined;
}

/**
 * What a helper has to put right on flats before anybody paints. Flats print nothing, so nothing here stops a page. A picture that is
 * no flats, or shows the line too, is told as that alone: all else would be about what does not belong there.
 */
export function noticeFlats(measures: FlatsMeasures, judged: FlatsJudged): Noticed[] {
  switch (measures.kind) {
    case 'painted':
      return [painted(measures)];
    case 'noisy':
      return [noisy(measures)];
    case 'withLine':
      return [withLine()];
    default:
      return [
        ...soft(measures, judged),
        ...gaps(measures, judged),
        ...shorts(measures, judged),
        ...strays(measures, judged),
        ...nearColours(measures, judged),
      ];
  }
}

function painted({ loosePercent }: FlatsMeasures): Noticed {
  const share =
    loosePercent === undefined ? 'nearly all' : `${figureBeside(loosePercent, mostLoosePercent, 0)} %`;
  return {
    code: 'flats-none',
    severity: 'warn',
    message: 'This is no picture of flats: it is painted, or has grain all over',
    measured: `${share} of it in colours that fill no area`,
    limit: `at most ${mostLoosePercent} %`,
    source: 'own choice',
    remedy: 'Drop the flats themselves, or name the file by the part that it is.',
  };
}

function noisy({ loosePercent = 100 }: FlatsMeasures): Noticed {
  return {
    code: 'flats-none',
    severity: 'warn',
    message:
      'These are no flats any more: there is noise in them, as a JPEG or a picture of few colours leaves it',
    measured: `${figureBeside(loosePercent, noisyFromPercent, 1)} % of it in pixels that belong to no area`,
    limit: `less than ${noisyFromPercent} %, or soft edges alone`,
    source: 'own choice',
    remedy:
      'Save the flats from their layers as PNG or TIFF, in full colour and without dithering; what was a JPEG once keeps its noise.',
  };
}

function withLine(): Noticed {
  return {
    code: 'flats-with-line',
    severity: 'warn',
    message: 'The line is visible in the flats: it cuts through every area',
    remedy: 'Hide the layer of the line and save the flats again, with the areas meeting beneath the line.',
  };
}

function soft({ soft: { px, ...found } }: FlatsMeasures, { limits, placesOf }: FlatsJudged): Noticed[] {
  const most = limits.flatsSoftPx;
  if (most === 0 || px <= most) return [];
  return [
    {
      code: 'flats-soft',
      severity: 'warn',
      message: 'Flats have soft edges: pixels between two flats that belong to neither',
      measured: `${px} px`,
      limit: `at most ${most} px`,
      source: limitSource(limits, 'flatsSoftPx'),
      remedy: 'Turn off antialiasing and feathering of brush, lasso and bucket, and fill these edges again.',
      ...placed(placesOf(found)),
    },
  ];
}

function gaps(
  { gaps: { count, ...found } }: FlatsMeasures,
  { limits, placesOf, units }: FlatsJudged,
): Noticed[] {
  if (count === 0) return [];
  return [
    {
      code: 'flats-gap',
      severity: 'warn',
      message: 'Bare ground shows between flats: holes and slits that were not filled',
      measured: counted(count, 'gap'),
      limit: `none that is ${formatLength(limits.flatsGapMm, units)} narrow or less`,
      source: limitSource(limits, 'flatsGapMm'),
      remedy: 'Fill them with the flat beside them.',
      ...placed(placesOf(found)),
    },
  ];
}

function shorts(
  { shorts: { count, lengthPx, ...found } }: FlatsMeasures,
  { limits, ppi, units, placesOf }: FlatsJudged,
): Noticed[] {
  if (count === 0) return [];
  const length = formatMeasured(pxToMm(lengthPx, ppi), units);
  return [
    {
      code: 'flats-short',
      severity: 'warn',
      message: 'Flats end beside their line instead of beneath it: paper would show along it',
      measured: `${length} of edge in ${counted(count, 'place')}`,
      limit: `beneath the line wherever it is within ${formatLength(limits.flatsGapMm, units)}`,
      source: limitSource(limits, 'flatsGapMm'),
      remedy: 'Extend these flats to the middle of the line.',
      ...placed(placesOf(found)),
    },
  ];
}

function strays({ strays: found }: FlatsMeasures, { limits, placesOf }: FlatsJudged): Noticed[] {
  const { count, smallestPx, largestPx } = found;
  if (count === 0) return [];
  const sizes = smallestPx === largestPx ? `${largestPx} px` : `${smallestPx} to ${largestPx} px`;
  return [
    {
      code: 'flats-stray',
      severity: 'warn',
      message: 'There are stray patches in the flats, too small to be meant',
      measured: `${counted(count, 'patch', 'patches')} of ${sizes}`,
      limit: `more than ${limits.flatsIslandPx} px each`,
      source: limitSource(limits, 'flatsIslandPx'),
      remedy: 'Fill them with the flat around them.',
      ...placed(placesOf(found)),
    },
  ];
}

/** A note only: where areas get colours at random, two of some hundred are that near by chance. */
function nearColours({ near }: FlatsMeasures, { limits, placesOf }: FlatsJudged): Noticed[] {
  const [first] = near.pairs;
  if (first === undefined) return [];
  const most = Math.max(...near.pairs.map(({ levels }) => levels));
  return [
    {
      code: 'flats-near-colours',
      severity: 'note',
      message: `Flats hardly differ in colour, as if one was picked twice: ${first.less} and ${first.more}`,
      measured: `${counted(near.pairs.length, 'pair')}, ${counted(most, 'level')} apart at most`,
      limit: `more than ${counted(limits.flatsNearLevels, 'level')} apart in a channel`,
      source: limitSource(limits, 'flatsNearLevels'),
      remedy: 'Fill both with one colour, or take colours that are further apart.',
      ...placed(placesOf(near)),
    },
  ];
}

function placed(places: FoundPlaces | undefined): Pick<Noticed, 'places'> {
  return places === undefined ? {} : { places };
}
