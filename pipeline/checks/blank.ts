import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { PageMeasures } from '../model/page-result.js';
import { processInkNames, processPlanes, type Separation } from '../model/separation.js';

/**
 * Mean coverage up to which there is nothing on a plate but dust, in percent: one pixel in ten thousand. A single word of
 * lettering at 8 points is three times as much on a page of comic size. Our own choice, no published source.
 */
const dustPercent = 0.01;

/** Ink up to here is paper to the eye, in percent of one solid, all inks together. Common practice, no published source. */
const paperPercent = 2;

/** A page with more ink than this on average is none of bare paper, in percent, all inks together. Own choice. */
const tonedPaperPercent = 12;

/** Ink that stands out from the paper around it, in percent, all inks together: grain of a scan stays below. Own choice. */
const standsOutPercent = 15;

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
  /** The page as it prints, line included. */
  readonly composite: Separation;
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
  composite,
}: Emptiness): Noticed[] {
  const colour = processInkNames.reduce((sum, name) => sum + coveragePercent[name], 0);
  const { line } = coveragePercent;
  if (colour + line <= dustPercent) return [pageBlank(colour + line)];
  if (colour + line <= tonedPaperPercent) {
    const shown = standingOutPercent(composite);
    if (shown <= dustPercent) return [paperOnly(shown)];
  }
  const isLineEmpty = hasLineFile && line <= dustPercent && heldPercent === 0;
  if (isLineEmpty) return [lineEmpty(line)];
  return hasColourFile && mostColourPercent <= paperPercent ? [colourEmpty(mostColourPercent)] : [];
}

/** The share of a page that has visibly more ink than its paper, which is whatever tone most of it has. */
function standingOutPercent(page: Separation): number {
  const planes = processPlanes(page);
  const counts = new Uint32Array(4 * 255 + 1);
  const pixels = page.width * page.height;
  for (let i = 0; i < pixels; i++) counts[planes[0][i] + planes[1][i] + planes[2][i] + planes[3][i]]++;
  let paper = 0;
  for (let below = counts[0]; below * 2 < pixels; below += counts[paper]) paper++;
  const most = paper + Math.round(standsOutPercent * 2.55);
  const more = counts.subarray(most + 1).reduce((sum, count) => sum + count, 0);
  return (more * 100) / pixels;
}

/** Field values that the findings of this file share. */
function found(percent: number) {
  return {
    measured: `${figureBeside(percent, dustPercent, 3)} % of the page`,
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

function paperOnly(percent: number): Noticed {
  return {
    ...pageBlank(percent),
    severity: 'warn',
    message: 'There is nothing on the page but the tone and the grain of paper',
    remedy:
      'Show all layers or scan the page again, or accept this in job.yaml for a page that is meant to be blank.',
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
    measured: `at most ${figureBeside(percent, paperPercent, 1)} % of ink anywhere`,
    limit: `more than ${paperPercent} %`,
    source: 'common practice, no published source',
    remedy:
      'Show all layers and export the colour again, or accept this in job.yaml for a page in black and white.',
  };
}
