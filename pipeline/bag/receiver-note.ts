import type { Job } from '../../config/job.js';
import type { LeftOutPage } from '../issue/report.js';

/** What the receiver of a bundle has to know before printing from it, as plain text in data/READ-ME.txt. */
export function receiverNote(job: Job, leftOut: readonly LeftOutPage[], reason: string | undefined): string {
  const title = job.number === undefined ? job.title : `${job.title}, number ${job.number}`;
  const lines = [
    `${job.issue}: ${title}`,
    '',
    ...partialNote(leftOut, reason),
    'press/    one composite CMYK TIFF a page, its output profile embedded, black line included;',
    '          and the line art alone as 1-bit TIFF (_line), black only, at its own resolution, to overprint.',
    'plates/   the four process inks as single-channel TIFFs (0 is no ink). The black plate (_black) holds the',
    '          black of the colour work only: the line art belongs on top of it, from the _line file in press/.',
    '          Use the composite, or the four plates together with the line; never the four plates alone.',
    'proofs/   pictures of the pages as they are expected to print. NOT FOR PRINT.',
    '',
    'Cautions',
    'A soft proof is not a contract proof: colour on a screen is an aim, not a promise.',
    "The printer's own specification decides. Where it differs from delivery.json, follow the printer.",
    'Each page names its press condition and ink limit in delivery.json; look before you print on another paper.',
    '',
    'Every file of this bundle is listed with its SHA-256 in manifest-sha256.txt (BagIt 1.0, RFC 8493).',
    'To check it: sha256sum -c manifest-sha256.txt, or platehand verify.',
  ];
  return `${lines.join('\n')}\n`;
}

function partialNote(leftOut: readonly LeftOutPage[], reason: string | undefined): string[] {
  if (leftOut.length === 0) return [];
  return [
    'THIS DELIVERY IS PARTIAL.',
    `Reason given: ${reason ?? 'none'}`,
    ...leftOut.map(({ page, state, why }) => `  page ${page} is not in it (${state}): ${why}`),
    '',
  ];
}
