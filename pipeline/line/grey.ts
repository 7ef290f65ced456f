import { figureBeside } from '../../config/figures.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Noticed } from '../model/findings.js';
import type { Plate } from '../model/raster.js';
import { rowsAtOnce } from './bitmap.js';

/** From this share of the ink area on, grey is more than a stray smudge. Common practice, no published source. */
const greyShareLimitPercent = 0.5;

/**
 * Looks for grey in line art, which a 1-bit plate cannot hold. The soft edge of a scanned line is no wash: only grey
 * that is grey on all four sides counts.
 */
export function noticeGrey(amount: Plate, memory: KernelMemory): Noticed[] {
  const { grey, ink } = countGrey(amount, memory);
  const sharePercent = ink === 0 ? 0 : (grey / ink) * 100;
  if (sharePercent <= greyShareLimitPercent) return [];
  return [
    {
      code: 'line-grey',
      severity: 'warn',
      message: 'The line art holds grey tone, which becomes black or paper on the 1-bit line plate',
      measured: `${figureBeside(sharePercent, greyShareLimitPercent, 1)} % of the ink`,
      limit: `at most ${greyShareLimitPercent} %`,
      source: 'common practice, no published source',
      remedy:
        'Move washes and grey tone to the colour part, or look at the proof and accept this in job.yaml.',
    },
  ];
}

/** Tones between these amounts are neither ink nor paper: 20 to 80 percent. */
const greyFrom = 51;
const greyTo = 204;

function countGrey({ width, height, data }: Plate, memory: KernelMemory): { grey: number; ink: number } {
  const most = rowsAtOnce(width);
  const [place, counts] = memory.scratch((most + 2) * width, 8);
  const found = { grey: 0, ink: 0 };
  // Each band comes with the row above it and the one below.
  for (let y = 1; y < height - 1; y += most) {
    const rows = Math.min(most, height - 1 - y);
    const at = memory.addressOf(data.subarray((y - 1) * width, (y + rows + 1) * width), place);
    memory.kernels.countGrey(at + width, width, rows, greyFrom, greyTo - greyFrom, counts);
    const [grey, ink] = new Uint32Array(memory.view(counts, 8).slice().buffer);
    found.grey += grey;
    found.ink += ink;
  }
  return found;
}
