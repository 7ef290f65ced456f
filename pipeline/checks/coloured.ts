import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';

/** Colour on less of a page than this, in percent, is a stain, a pencil or a date stamp. Own choice. */
const strayPercent = 0.2;

/**
 * Notices a page that was painted in colour and is to print in black alone: it prints as light as it was painted, and what differs by
 * its colour only looks alike.
 * @param colouredPercent share of the page that is painted in colour; 0 where its colour prints
 */
export function noticeColoured(colouredPercent: number): Noticed[] {
  if (colouredPercent <= strayPercent) return [];
  return [
    {
      code: 'colour-in-black-only',
      severity: 'warn',
      message: 'The page is painted in colour, and prints in black alone: as light as it was painted',
      measured: `${figureBeside(colouredPercent, strayPercent, 1)} % of it in colour`,
      limit: `at most ${strayPercent} %`,
      source: 'job.yaml: inks; the limit is our own choice',
      remedy:
        'Look at the proof whether colours that lie beside each other can still be told apart; give the page all inks (inks) or drop it in grey.',
    },
  ];
}
