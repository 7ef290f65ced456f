import { limitSource } from '../../config/check-limits/index.js';
import { counted } from '../../config/figures.js';
import type { LineFaults } from '../line-faults/measure-line.js';
import type { Speck } from '../line-faults/specks.js';
import type { Noticed } from '../model/findings.js';
import { placesOf } from '../model/places.js';
import { type CheckedLine, pictureOf } from './thin-line.js';

/** From this share of the number that asks for a look on, specks are told for the record. Own choice. */
const toldShare = 0.1;

/**
 * Says how many specks were removed from the line.
 * @param specks as they were on the plate that is looked at
 */
export function noticeCleaned(specks: readonly Speck[], on: CheckedLine): Noticed[] {
  if (specks.length === 0) return [];
  const places = placesOf(specks, pictureOf(on));
  return [
    {
      code: 'line-cleaned',
      severity: 'note',
      message: 'Specks of ink that stood alone on the paper were removed from the line',
      measured: counted(specks.length, 'speck'),
      limit: `no larger than ${on.spec.checks.speckMm} mm`,
      source: 'job.yaml: clean',
      remedy: 'Look at the picture of them, before and after, beside the proof.',
      ...(places === undefined ? {} : { places }),
    },
  ];
}

/** Says how many specks of dust a page has, and how many pinholes in its black. */
export function noticeSpecks({ specks, pinholes }: LineFaults, on: CheckedLine): Noticed[] {
  const onPaper = noticeCount(specks, on, {
    code: 'line-specks',
    message: 'Specks of ink stand alone on the paper: likely dust on the scanner',
    remedy: 'Clean the scan, or have them removed: clean: specks on the page in job.yaml.',
  });
  const inBlack = noticeCount(pinholes, on, {
    code: 'line-pinholes',
    message: 'The black has pinholes: likely dust, or ink that did not cover',
    remedy: 'Fill them in, or scan the page again with a lower threshold.',
  });
  return [...onPaper, ...inBlack];
}

function noticeCount(
  found: readonly Speck[],
  on: CheckedLine,
  words: Pick<Noticed, 'code' | 'message' | 'remedy'>,
): Noticed[] {
  const { checks } = on.spec;
  if (found.length < Math.max(1, toldShare * checks.specksCount)) return [];
  const gravestFirst = [...found].sort((a, b) => b.width * b.height - a.width * a.height);
  const places = placesOf(gravestFirst, pictureOf(on));
  return [
    {
      ...words,
      severity: found.length > checks.specksCount ? 'warn' : 'note',
      measured: counted(found.length, 'place'),
      limit: `at most ${checks.specksCount} no larger than ${checks.speckMm} mm`,
      source: limitSource(checks, 'specksCount'),
      ...(places === undefined ? {} : { places }),
    },
  ];
}
