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
  const shownAs = (data: Uint8Array) => {
    const row: Raster = { ...colour, width: data.length / channelsOf(colour), height: 1, data };
    return separator.screenOf(row, profile, arena);
  };
  // What a screen shows as it is needs no levels, which would round it.
  if (isAsItIs(colour, shownAs)) return colour.model === 'grey' ? thrice(amounts) : amounts;
  const isInk = colour.model === 'cmyk';
  const data = new Uint8Array(amounts.length);
  for (let at = 0; at < data.length; at++)
    data[at] = isInk ? Math.round(amounts[at] * 255) : levelFor(amounts[at]);
  const shown = shownAs(data);
  const light = new Float32Array(shown.data.length);
  for (let at = 0; at < light.length; at++) light[at] = lightOf(shown.data[at]);
  return shown.model === 'grey' && light.length === weights.length ? thrice(light) : light;
}

/** Levels that are asked of each channel to tell whether a profile is that of the screen. */
const probed = [0, 64, 128, 192, 255];

/** Whether a screen shows numbers as they are: they are untagged, or their profile is sRGB by whatever name. */
function isAsItIs({ model }: Raster, shownAs: (data: Uint8Array) => Raster): boolean {
  if (model === 'cmyk') return false;
  const probe =
    model === 'grey'
      ? probed
      : probed.flatMap((r) => probed.flatMap((g) => probed.flatMap((b) => [r, g, b])));
  const shown = shownAs(Uint8Array.from(probe));
  const repeated = shown.model === model ? 1 : 3;
  return probe.every((level, at) => Math.abs(shown.data[at * repeated] - level) <= 1);
}

function thrice(grey: Float32Array): Float32Array {
  const light = new Float32Array(grey.length * 3);
  for (let n = 0, to = 0; n < grey.length; n++) for (let c = 0; c < 3; c++) light[to++] = grey[n];
  return light;
}
