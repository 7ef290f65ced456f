import { figureBeside } from '../../config/figures.js';
import { pxToMm } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { Bitmap } from '../model/raster.js';

/** From this share on somebody should look whether so much line is meant to print in colour. */
const heldLimitPercent = 30;

/**
 * Says how much of the line art moved to the colour plates; nothing when none did.
 * @param isLayered layers tell what colours the line; of a flat colour part it is read from the picture, and could be
 *   mistaken
 */
export function noticeHeld(heldPercent: number, isLayered: boolean): Noticed[] {
  if (heldPercent < 0.05) return [];
  const isMuch = !isLayered && heldPercent > heldLimitPercent;
  return [
    {
      code: 'line-held',
      severity: isMuch ? 'warn' : 'note',
      message:
        'Part of the line art is coloured by a hold or an effect above it and prints in the colour plates',
      measured: `${figureBeside(heldPercent, isLayered ? 0 : heldLimitPercent, 1)} % of the line area`,
      limit: isMuch ? `at most ${heldLimitPercent} %` : undefined,
      source: isMuch ? 'our own choice, no published source' : undefined,
      remedy: 'Look at the proof: nothing to do if the coloured line is meant.',
    },
  ];
}

/** Says that the black was lifted from a flat picture, and how much of the page it covers. */
export function noticeLifted(line: Bitmap, ppi: number, inkPercent: number): Noticed[] {
  return [
    {
      code: 'black-lifted',
      severity: 'note',
      message: 'The page came as one flat picture; its black was lifted onto the line plate',
      measured: inkedArea(line, ppi, inkPercent),
      limit: undefined,
      source: undefined,
      remedy: 'Drop the inks as a file of their own for the crispest line; otherwise look at the proof.',
    },
  ];
}

/** Says that the black was lifted from layers: a guess worth a look, the layer of the inks may just bear another name. */
export function noticeUnnamedLine(line: Bitmap, ppi: number, inkPercent: number): Noticed[] {
  return [
    {
      code: 'line-unnamed',
      severity: 'warn',
      message: 'No layer is named as line; black was lifted from the flattened page onto the line plate',
      measured: inkedArea(line, ppi, inkPercent),
      remedy:
        'Name the layer of the inks line, or add its name under parts in job.yaml; otherwise look at the proof.',
    },
  ];
}

function inkedArea({ width, height }: Bitmap, ppi: number, inkPercent: number): string {
  return `${inkPercent.toFixed(1)} % of ${pxToMm(width, ppi).toFixed(0)} x ${pxToMm(height, ppi).toFixed(0)} mm`;
}

/** A page of line art that is more ink than this was most likely saved with black and white exchanged. */
const mostInkPercentOfLine = 75;

/** Warns of line art that is nearly all ink. */
export function noticeMostlyInk(inkPercent: number): Noticed[] {
  if (inkPercent <= mostInkPercentOfLine) return [];
  return [
    {
      code: 'line-mostly-ink',
      severity: 'warn',
      message: 'The line art is ink nearly all over, as if black and white were exchanged',
      measured: `${figureBeside(inkPercent, mostInkPercentOfLine, 1)} % ink`,
      limit: `at most ${mostInkPercentOfLine} %`,
      source: 'common practice, no published source',
      remedy:
        'Look at the proof; invert the inks and drop them again, or accept this in job.yaml for a page at night.',
    },
  ];
}
