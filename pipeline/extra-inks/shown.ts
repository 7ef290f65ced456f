import type { SizePx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import { coverageOf } from '../line/coverage.js';
import type { Plate, Raster } from '../model/raster.js';
import type { ExtraPlate } from '../model/separation.js';
import { fitPlate } from '../sizes/resample.js';

/** What people see of extra inks, where no machine has plates for them. */

/**
 * Lays what stands for extra inks over the process inks of a picture for people, as light goes through one ink and then the other.
 * @param picture cmyk, 8 bit; changed in place
 * @param extras plates of the same page
 */
export async function showExtraInks(
  picture: Raster,
  extras: readonly ExtraPlate[],
  arena: PageArena,
): Promise<void> {
  for (const { ink, plate } of extras) {
    const amounts =
      'bits' in plate ? coverageOf(plate, picture, arena).data : (await reduced(plate, picture)).data;
    for (const [channel, shown] of ink.shownAs.entries()) {
      if (shown > 0) tint(picture.data, channel, amounts, shown / 100);
    }
  }
}

/**
 * @param channel of the picture's four
 * @param amounts of the extra ink, 0 to 255, a pixel each
 * @param shown share of the process ink that stands for full ink
 */
function tint(data: Raster['data'], channel: number, amounts: Uint8Array, shown: number): void {
  for (let i = 0, j = channel; i < amounts.length; i++, j += 4) {
    data[j] += Math.round((((255 - data[j]) * amounts[i]) / 255) * shown);
  }
}

function reduced(plate: Plate, size: SizePx): Promise<Plate> {
  const { width, height } = plate;
  // Of the plan only the place counts, which is all of the plate.
  return fitPlate(plate, { crop: { left: 0, top: 0, width, height }, effectivePpi: 0 }, size);
}
