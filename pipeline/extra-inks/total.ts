import type { ExtraInk } from '../../config/extra-ink.js';
import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { ExtraInkMeasures } from '../model/page-result.js';
import { processPlanes, type Separation } from '../model/separation.js';

/** What extra inks come to on a page, held against the ink limit. */

const full = 255;

/** All inks together. */
export interface InkTotal {
  /** The most on any pixel, in percent. */
  readonly mostPercent: number;
  /** Share of the page with more than the limit, in percent. */
  readonly beyondPercent: number;
}

/**
 * Counts process inks and extra inks together.
 * @param counted amounts of the extra inks that the limit counts, each of the composite's size
 */
export function totalOf(
  composite: Separation,
  counted: readonly Uint8Array[],
  limitPercent: number,
): InkTotal {
  const planes = [...processPlanes(composite), ...counted];
  const pixels = composite.width * composite.height;
  // One level of 255 is within rounding, as in the limit of the process inks.
  const limit = (limitPercent / 100) * full + 1;
  let [most, beyond] = [0, 0];
  for (let i = 0; i < pixels; i++) {
    let sum = 0;
    for (let ink = 0; ink < planes.length; ink++) sum += planes[ink][i];
    if (sum > most) most = sum;
    if (sum > limit) beyond++;
  }
  return { mostPercent: (most / full) * 100, beyondPercent: (beyond / pixels) * 100 };
}

/** More of a plate than this, in percent, is nearly all the page, and less than the other nothing. Own choice. */
const nearlyAll = 95;
const nearlyNothing = 0.002;

/** What is to be told of one ink: that it is there, and whether its plate may be the wrong way round or empty. */
export function noticeExtraInk({ name, overprints, coveragePercent }: ExtraInkMeasures): Noticed[] {
  const measured = `${coveragePercent.toFixed(coveragePercent < 1 ? 3 : 1)} % of the page`;
  if (coveragePercent < nearlyNothing) {
    return [
      {
        code: 'extra-ink-blank',
        severity: 'warn',
        message: `The plate of ${name} is empty`,
        measured,
        remedy: 'Drop it with black, or opaque, where the ink is to print; or take the file away.',
      },
    ];
  }
  if (coveragePercent > nearlyAll) {
    return [
      {
        code: 'extra-ink-full',
        severity: 'warn',
        message: `${name} covers nearly all of the page; its plate may be the wrong way round`,
        measured,
        limit: `${nearlyAll} %`,
        source: 'own choice',
        remedy: 'Black, or opaque, is ink and white is none: turn it round, or accept it in job.yaml.',
      },
    ];
  }
  return [
    {
      code: 'extra-ink',
      severity: 'note',
      message: `The page prints in ${name} too, which ${overprints ? 'overprints' : 'knocks out what is beneath'}`,
      measured,
      remedy: 'Look at the proof: whether it lies in register cannot be told from pictures.',
    },
  ];
}

/** More ink than the limit once extra inks are counted. */
export function noticeTotal(
  { mostPercent, beyondPercent }: InkTotal,
  limitPercent: number,
  source: string,
  counted: readonly ExtraInk[],
): Noticed[] {
  if (counted.length === 0 || beyondPercent === 0) return [];
  const names = counted.map(({ name }) => name).join(' and ');
  return [
    {
      code: 'extra-ink-total',
      severity: 'warn',
      message: `With ${names} there is more ink than the limit on ${beyondPercent.toFixed(2)} % of the page`,
      measured: `${figureBeside(mostPercent, limitPercent, 0)} %`,
      limit: `${limitPercent} %`,
      source,
      remedy:
        'Ask the printer: lighten the picture beneath, let the ink knock out, or leave it out of the limit (inTotal: false).',
    },
  ];
}
