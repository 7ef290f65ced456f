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

/** Line is ink or none: it goes from where half of what is beneath goes. */
const halfCleared = Math.ceil(clearsFrom / 2);

/** Amounts of an ink at the colour's resolution; of ink or none, the share of each pixel. */
export function amountsAt({ plate }: ExtraPlate, size: SizePx, arena: PageArena): Uint8Array {
  return 'bits' in plate ? coverageOf(plate, size, arena).data : plate.data;
}

/** Clears planes, each once, where an ink is. @param planes of the colour's size, changed in place */
export function clearPlanes(planes: ReadonlySet<Uint8Array>, ink: ExtraPlate, amounts: Uint8Array): void {
  // The share of a pixel that ink or none covers is just what it takes of the others.
  const full = 'bits' in ink.plate ? 255 : clearsFrom;
  const kept = Float32Array.from({ length: 256 }, (_, amount) => 1 - Math.min(1, amount / full));
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i++) {
      if (amounts[i] !== 0 && plane[i] !== 0) plane[i] = Math.round(plane[i] * kept[amounts[i]]);
    }
  }
}

/** All planes of a page's separations, each once: they share those that are alike. */
export function planesOf(separations: readonly Separation[]): Set<Uint8Array> {
  return new Set(separations.flatMap(({ inks }) => inks.map(({ plane }) => plane)));
}

/** Line less what an ink clears. */
export function lineBeside(line: Bitmap, { plate }: ExtraPlate, arena: PageArena): Bitmap {
  const shape = 'bits' in plate ? plate : bitmapOf(stretched(plate, line), line, halfCleared, arena);
  return without(line, shape);
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
