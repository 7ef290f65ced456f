import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import { type MovementMeasures, movementWords, registerLimitMm } from '../model/movement.js';
import type { RegisterMeasures } from '../model/page-result.js';

/** What line and colour of one page have in common at least, as measure-register.ts holds them against each other. */
const leastAgreeingPercent = 55;
const leastLikeness = 0.15;

/** What was asked for, and what came of it. */
export interface RegisterCheck {
  readonly measures: RegisterMeasures;
  /** The line was to be put right: `register: { line: auto }` on the page. */
  readonly wasAsked: boolean;
  /** The colour keeps to panels, which the line then ought to have. */
  readonly keepsToPanels: boolean;
  /** Line that is turned or resized is resampled. */
  readonly wasResampled: boolean;
}

/**
 * Says whether line and colour belong together, and how far the line lies off. What cannot be told is a note, and so is what was
 * put right.
 */
export function noticeRegister({
  measures,
  wasAsked,
  keepsToPanels,
  wasResampled,
}: RegisterCheck): Noticed[] {
  if (measures.verdict === 'apart') return [anotherPage(measures, keepsToPanels)];
  if (measures.verdict === 'unknown') return [fitUnknown(measures, wasAsked)];
  if (measures.putRight) return [putRight(measures, wasResampled)];
  return measures.farthestMm > registerLimitMm ? [shifted(measures, wasAsked)] : [];
}

function anotherPage({ places, agreeing, likeness }: RegisterMeasures, keepsToPanels: boolean): Noticed {
  return {
    code: 'line-of-another-page',
    severity: keepsToPanels ? 'stop' : 'warn',
    message: keepsToPanels
      ? 'The line belongs to another page than the colour: their edges have nothing in common'
      : 'The line belongs to another page than the colour, or the colour follows no line: their edges have nothing in common',
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
      ? 'The line does not lie on its colour, and was not moved: it came in layers'
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

/** Text found in balloons is off by no less than this, in millimetres: it has that much room there anyhow. Our own choice. */
const housedLimitMm = 0.5;

/** How lettering lies on its page. */
export interface LetteringCheck {
  /** By drawing that both show, or by the balloons that text stands in. */
  readonly by: 'shared' | 'housed';
  readonly measures: MovementMeasures & Pick<RegisterMeasures, 'places' | 'agreeing'>;
  readonly file: string | undefined;
}

/** Says how far lettering lies beside its page, where anything on both tells. */
export function noticeLettering({ by, measures, file }: LetteringCheck): Noticed[] {
  const { places, agreeing, farthestMm } = measures;
  const limitMm = by === 'shared' ? registerLimitMm : housedLimitMm;
  if (farthestMm <= limitMm) return [];
  const how =
    by === 'shared'
      ? `${agreeing} of ${places} places agree`
      : `about; ${agreeing} of ${places} groups of text run across drawing`;
  return [
    {
      code: 'lettering-shifted',
      severity: 'warn',
      ...(file === undefined ? {} : { file }),
      message:
        by === 'shared'
          ? 'The lettering does not lie on its page: what both show lies elsewhere in it'
          : 'The lettering does not lie on its page: moved, all of its text would stand in the balloons',
      measured: `${movementWords(measures, limitMm)} (${how})`,
      limit: `at most ${limitMm} mm anywhere on the page`,
      source:
        by === 'shared'
          ? 'register in sheet-fed offset: common practice, no published source'
          : 'our own choice',
      remedy: 'Export the lettering from the canvas of its page.',
    },
  ];
}

/** The movement in words, and how many places agree. */
function whereabouts(measures: RegisterMeasures): string {
  return `${movementWords(measures)} (${measures.agreeing} of ${measures.places} places agree)`;
}
