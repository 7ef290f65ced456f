import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import { channelsOf, type Raster } from '../model/raster.js';
import { levelOf, lightOf } from './oklab.js';
import type { PageCells, PaintedColour } from './page-cells.js';

/** What the cells of a page look like on a screen, whatever its numbers mean: asked of a row of them, not of all pixels. */

/** Levels for amounts of light in steps as fine as the darkest level needs; the power is slow. */
const lightSteps = 4096;
let levels: Uint8Array | undefined;

function levelFor(light: number): number {
  levels ??= Uint8Array.from({ length: lightSteps + 1 }, (_, n) => Math.round(levelOf(n / lightSteps)));
  return levels[Math.round(light * lightSteps)];
}

/** Light of each cell in the three colours of a screen, interleaved: as a screen shows it, CMYK as it will look in print. */
export function lightOfCells(
  { colour, profile }: PaintedColour,
  { amounts, weights }: PageCells,
  separator: Pick<Separator, 'screenOf'>,
  arena: PageArena,
): Float32Array {
  const shownAs = (raster: Raster) => separator.screenOf(raster, profile, arena);
  const one: Raster = { ...colour, width: 1, height: 1, data: new Uint8Array(channelsOf(colour)) };
  // What a screen shows as it is needs no levels, which would round it.
  if (shownAs(one) === one) return colour.model === 'grey' ? thrice(amounts) : amounts;
  const isInk = colour.model === 'cmyk';
  const data = Uint8Array.from(amounts, (amount) => (isInk ? Math.round(amount * 255) : levelFor(amount)));
  const shown = shownAs({ ...colour, width: weights.length, height: 1, data });
  const light = Float32Array.from(shown.data, lightOf);
  return shown.model === 'grey' ? thrice(light) : light;
}

function thrice(grey: Float32Array): Float32Array {
  const light = new Float32Array(grey.length * 3);
  for (let n = 0, to = 0; n < grey.length; n++) for (let c = 0; c < 3; c++) light[to++] = grey[n];
  return light;
}
