import type { SizePx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import { bitmapOf, without } from '../line/bitmap.js';
import { coverageOf } from '../line/coverage.js';
import type { Bitmap, Plate } from '../model/raster.js';
import type { ExtraPlate, Separation } from '../model/separation.js';

/**
 * Inks that knock out: process inks and line are cleared beneath them in the page's own plates, so that every file of the page, and
 * every machine that lays one plate on the other, shows the same. That is by the full shape, as with vectors: a tint clears like
 * full ink.
 */

/**
 * From this amount of ink on, of 255, what is beneath is cleared wholly; below it in proportion. So tints clear by their shape, and a
 * soft edge fades out without a border that nobody painted. A fifth of full ink: our own choice.
 */
const clearsFrom = 51;

/** Line is ink or none: it goes where half of what is beneath goes. */
const halfCleared = 128;

/** Amounts of an ink at the colour's resolution; of ink or none, the share of each pixel. */
export function amountsAt({ plate }: ExtraPlate, size: SizePx, arena: PageArena): Uint8Array {
  return 'bits' in plate ? coverageOf(plate, size, arena).data : plate.data;
}

/**
 * How much of what is beneath an ink it clears: width x height x 1, 255 all of it. The share of a pixel that ink or none covers is
 * just what it takes; of tones the edge of a shape takes its share too, or paper would shine along it.
 */
export function clearedBy({ plate }: ExtraPlate, amounts: Uint8Array, { width, height }: SizePx): Uint8Array {
  if ('bits' in plate) return amounts;
  const across = new Uint8Array(amounts.length);
  for (let i = 0; i < amounts.length; i++) {
    const x = i % width;
    const [before, behind] = [x === 0 ? 0 : amounts[i - 1], x === width - 1 ? 0 : amounts[i + 1]];
    across[i] = Math.max(before, amounts[i], behind);
  }
  const cleared = new Uint8Array(amounts.length);
  const last = (height - 1) * width;
  for (let i = 0; i < amounts.length; i++) {
    if (amounts[i] === 0) continue;
    const [above, below] = [i < width ? 0 : across[i - width], i >= last ? 0 : across[i + width]];
    const around = Math.max(clearsFrom, above, across[i], below);
    cleared[i] = Math.round((amounts[i] * 255) / around);
  }
  return cleared;
}

/** Clears planes, each once. @param planes of the colour's size, changed in place */
export function clearPlanes(planes: ReadonlySet<Uint8Array>, cleared: Uint8Array): void {
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i++) {
      if (cleared[i] !== 0 && plane[i] !== 0) plane[i] = Math.round((plane[i] * (255 - cleared[i])) / 255);
    }
  }
}

/** All planes of a page's separations, each once: they share those that are alike. */
export function planesOf(separations: readonly Separation[]): Set<Uint8Array> {
  return new Set(separations.flatMap(({ inks }) => inks.map(({ plane }) => plane)));
}

/** Line less what an ink clears. */
export function lineBeside(
  line: Bitmap,
  { plate }: ExtraPlate,
  cleared: Uint8Array,
  arena: PageArena,
): Bitmap {
  if ('bits' in plate) return without(line, plate, arena);
  const { width, height } = plate;
  const cut = bitmapOf(stretched({ width, height, data: cleared }, line), line, halfCleared, arena);
  return without(line, cut, arena);
}

/** The samples of a plate at another size, each of the nearest. */
function stretched({ width, height, data }: Plate, size: SizePx): Uint8Array {
  const large = new Uint8Array(size.width * size.height);
  const columns = Int32Array.from({ length: size.width }, (_, x) =>
    Math.floor(((x + 0.5) * width) / size.width),
  );
  for (let y = 0; y < size.height; y++) {
    const row = Math.floor(((y + 0.5) * height) / size.height) * width;
    const to = y * size.width;
    for (let x = 0; x < size.width; x++) large[to + x] = data[row + columns[x]];
  }
  return large;
}
