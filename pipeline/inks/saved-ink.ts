import { ciede2000 } from '../../config/press/ciede2000.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { InkSaved } from '../model/page-result.js';
import { gathered, type Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes } from '../model/separation.js';
import { Differences } from './fidelity-sums.js';
import type { Separator } from './separator.js';
import { labAt } from './unpainted-edges.js';

/** Pixels that are separated both ways: ink is then known to a tenth of a percent, at a tenth of the work. Own choice. */
const mostPixels = 100_000;

/** An odd step falls in with no screen and no row. */
const oddStep = (pixels: number) => Math.max(1, Math.floor(pixels / mostPixels)) | 1;

/**
 * Separates some pixels of a page with ink saving and without.
 * @param colour what was separated
 * @returns undefined where nothing is saved, and for colour that came in the inks of this press
 */
export function measureSaving(
  colour: Raster,
  profile: Uint8Array | undefined,
  separator: Separator,
  arena: PageArena,
): InkSaved | undefined {
  const { withoutSaving } = separator;
  if (withoutSaving === undefined) return undefined;
  const total = colour.width * colour.height;
  const step = oddStep(total);
  const sample = gathered(
    colour,
    Int32Array.from({ length: Math.ceil(total / step) }, (_, n) => n * step),
  );
  const { separation, passedThrough } = separator.separate(sample, profile, arena);
  if (passedThrough) return undefined;
  const after = processPlanes(separation);
  const before = processPlanes(withoutSaving.separate(sample, profile, arena).separation);
  const [inkBefore, inkAfter] = [sumOf(before), sumOf(after)];
  const { mostDe, p999De } = differences(before, after, separator).summary();
  const savedPercent = inkBefore === 0 ? 0 : ((inkBefore - inkAfter) * 100) / inkBefore;
  return { savedPercent: Number(savedPercent.toFixed(1)), mostDe, p999De };
}

function differences(before: ProcessPlanes, after: ProcessPlanes, separator: Separator): Differences {
  const all = new Differences();
  const [labBefore, labAfter] = [separator.labOf(before), separator.labOf(after)];
  for (let n = 0; n < before[0].length; n++) {
    const isSame = before.every((plane, ink) => plane[n] === after[ink][n]);
    all.add(isSame ? 0 : ciede2000(labAt(labBefore, n), labAt(labAfter, n)), 1);
  }
  return all;
}

function sumOf(planes: ProcessPlanes): number {
  let sum = 0;
  for (const plane of planes) for (const ink of plane) sum += ink;
  return sum;
}
