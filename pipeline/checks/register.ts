import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { RegisterMeasures } from '../model/page-result.js';

/**
 * How far line may lie off its colour anywhere on the page, in millimetres. What sheet-fed offset holds from ink to ink: common
 * practice, no published source.
 */
export const registerLimitMm = 0.1;

/** What line and colour of one page have in common at least, as measure-register.ts holds them against each other. */
const leastAgreeingPercent = 55;
const leastLikeness = 0.15;

/** What was asked for, and what came of it. */
export interface RegisterCheck {
  readonly measures: RegisterMeasures;
  /** The line was to be put right: `register: { line: auto }` on the page. */
  readonly wasAsked: boolean;
  /** Line that is turned or resized is resampled. */
  readonly wasResampled: boolean;
}

/**
 * Says whether line and colour belong together, and how far the line lies off. What cannot be told is a note, and so is what was
 * put right.
 */
export function noticeRegister({ measures, wasAsked, wasResampled }: RegisterCheck): Noticed[] {
  if (measures.verdict === 'apart') return [anotherPage(measures)];
  if (measures.verdict === 'unknown') return [fitUnknown(measures, wasAsked)];
  if (measures.putRight) return [putRight(measures, wasResampled)];
  return measures.farthestMm > registerLimitMm ? [shifted(measures, wasAsked)] : [];
}

function anotherPage({ places, agreeing, likeness }: RegisterMeasures): Noticed {
  return {
    code: 'line-of-another-page',
    severity: 'stop',
    message: 'The line belongs to another page than the colour: their edges have nothing in common',
    measured: `${agreeing} of ${places} places agree, likeness ${figureBeside(likeness, leastLikeness, 2)}`,
    limit: `at least ${leastAgreeingPercent} % of the places, likeness ${leastLikeness}`,
    source: 'measured on drawn pages, no published source',
    remedy:
      'Look at the proof; drop the inks of this page, or accept this in job.yaml where line and colour go their own ways.',
  };
}

function fitUnknown({ places, agreeing }: RegisterMeasures, wasAsked: boolean): Noticed {
  const message =
    'Whether line and colour belong together cannot be told: their edges have too little in common';
  return {
    code: 'line-fit-unknown',
    severity: 'note',
    message: wasAsked ? `${message}; nothing was moved` : message,
    measured: `${agreeing} of ${places} places agree`,
    remedy: 'Look at the proof.',
  };
}

function shifted(measures: RegisterMeasures, wasAsked: boolean): Noticed {
  return {
    code: 'line-shifted',
    severity: 'warn',
    message: wasAsked
      ? 'The line does not lie on its colour, and was not moved: the page is put together of more than colour and line'
      : 'The line does not lie on its colour',
    measured: whereabouts(measures),
    limit: `at most ${registerLimitMm} mm anywhere on the page`,
    source: 'register in sheet-fed offset: common practice, no published source',
    remedy:
      'Export line and colour from one canvas, or have the line moved: register: { line: auto } on the page in job.yaml.',
  };
}

function putRight(measures: RegisterMeasures, wasResampled: boolean): Noticed {
  const how = wasResampled ? 'its pixels were resampled' : 'by whole pixels';
  return {
    code: 'line-registered',
    severity: 'note',
    message: `The line did not lie on its colour and was moved into place, ${how}`,
    measured: whereabouts(measures),
    source: 'job.yaml: register',
    remedy: 'Look at the proof.',
  };
}

/** `0.21 mm right, 0.02 mm up, turned by 0.10 degrees, 0.34 mm at the farthest corner (22 of 24 places agree)`. */
function whereabouts(measures: RegisterMeasures): string {
  const { rightMm, downMm, turnedDegrees, largerPercent, farthestMm, agreeing, places } = measures;
  const words = [
    sided(rightMm, 2, ' mm right', ' mm left'),
    sided(downMm, 2, ' mm down', ' mm up'),
    sided(turnedDegrees, 2, ' degrees clockwise', ' degrees anticlockwise'),
    sided(largerPercent, 2, ' % larger', ' % smaller'),
    `${figureBeside(farthestMm, registerLimitMm, 2)} mm at the farthest corner (${agreeing} of ${places} places agree)`,
  ];
  return words.filter((word) => word !== '').join(', ');
}

/** A figure with the word for its sign; nothing where it rounds to nought. */
function sided(value: number, decimals: number, above: string, below: string): string {
  const text = Math.abs(value).toFixed(decimals);
  return Number(text) === 0 ? '' : text + (value > 0 ? above : below);
}
