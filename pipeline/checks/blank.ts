import type { Noticed } from '../model/findings.js';
import type { PageMeasures } from '../model/page-result.js';
import { processInkNames } from '../model/separation.js';

/**
 * Mean coverage up to which there is nothing on a plate but dust, in percent: one pixel in ten thousand. A single word of
 * lettering at 8 points is three times as much on a page of comic size. Our own choice, no published source.
 */
const dustPercent = 0.01;

/** Ink up to here is paper to the eye, in percent of one solid, all inks together. Common practice, no published source. */
const paperPercent = 2;

/** What of a page tells whether something is missing from it. */
export interface Emptiness {
  /** Mean coverage of each plate in percent, without the line on the process plates. */
  readonly coveragePercent: PageMeasures['coveragePercent'];
  /** The line came in a file of its own. */
  readonly hasLineFile: boolean;
  /** The colour came in a file of its own, beside line. */
  readonly hasColourFile: boolean;
  /** The most ink that the colour brings anywhere, in percent, before blacks get their support ink. */
  readonly mostColourPercent: number;
  /** Share of the line that moved to the colour plates, in percent of its area. */
  readonly heldPercent: number;
}

/**
 * Notices a page on which nothing is to be printed, inks without a line, and colour without any colour: exports with their layers
 * hidden look so, and print as white paper. Who means them so accepts the finding on the page.
 */
export function noticeBlank({
  coveragePercent,
  hasLineFile,
  hasColourFile,
  mostColourPercent,
  heldPercent,
}: Emptiness): Noticed[] {
  const colour = processInkNames.reduce((sum, name) => sum + coveragePercent[name], 0);
  const { line } = coveragePercent;
  if (colour + line <= dustPercent) return [pageBlank(colour + line)];
  const isLineEmpty = hasLineFile && line <= dustPercent && heldPercent === 0;
  if (isLineEmpty) return [lineEmpty(line)];
  return hasColourFile && mostColourPercent <= paperPercent ? [colourEmpty(mostColourPercent)] : [];
}

/** Field values that the findings of this file share. */
function found(percent: number) {
  return {
    measured: `${percent.toFixed(3)} % of the page`,
    limit: `more than ${dustPercent} %`,
    source: 'our own choice, no published source',
  };
}

function pageBlank(percent: number): Noticed {
  return {
    code: 'page-blank',
    severity: 'stop',
    message: 'There is nothing on the page: it would print as white paper',
    ...found(percent),
    remedy:
      'Show all layers and export the page again, or accept this in job.yaml for a page that is meant to be blank.',
  };
}

function lineEmpty(percent: number): Noticed {
  return {
    code: 'line-empty',
    severity: 'stop',
    message: 'The file of the inks holds no line',
    ...found(percent),
    remedy:
      'Export the inks again with their layer shown, or accept this in job.yaml for a page without line.',
  };
}

function colourEmpty(percent: number): Noticed {
  return {
    code: 'colour-empty',
    severity: 'warn',
    message: 'The colour file holds no colour: the page would print in black and white',
    measured: `at most ${percent.toFixed(1)} % of ink anywhere`,
    limit: `more than ${paperPercent} %`,
    source: 'common practice, no published source',
    remedy:
      'Show all layers and export the colour again, or accept this in job.yaml for a page in black and white.',
  };
}
