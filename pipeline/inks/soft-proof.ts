import { loadProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import type { Press } from '../../config/press.js';
import { bandPixels, desk, inBands } from '../kernels/desk.js';
import type { Raster, Separation } from '../raster.js';

/**
 * What the print will look like, on a screen: from the inks through the press profile to sRGB. A soft proof is no
 * contract proof; it knows neither the screen it is seen on nor the light.
 */
export interface SoftProofer {
  /**
   * @param separation plates of 8 bit
   * @param options `paperWhite` shows the colour of the paper (absolute colorimetric) instead of the screen's white
   * @returns rgb, 8 bit, sRGB, as large as the separation
   */
  proof(separation: Separation, options: { paperWhite: boolean }): Raster;
}

/** Nodes along each ink; with 17, greys and tints come within 2 of 255 of the exact conversion. */
const gridPoints = 17;

/** @throws PlatehandError `profile-invalid`, `colour-engine` */
export function openSoftProofer(press: Press): SoftProofer {
  const from = loadProfile(press.profile);
  const tables = new Map<boolean, TableTransform>();
  return {
    proof(separation, { paperWhite }) {
      let table = tables.get(paperWhite);
      if (table === undefined) {
        // No black point compensation: a dull black on newsprint is to be seen as one.
        const intent = paperWhite ? 'absolute' : 'relative';
        table = tableTransform({ from, to: 'srgb', intent, blackPointCompensation: false }, gridPoints, 8);
        tables.set(paperWhite, table);
      }
      return show(separation, table);
    },
  };
}

function show(separation: Separation, table: TableTransform): Raster {
  const { width, height, cyan, magenta, yellow, black } = separation;
  const planes = [cyan, magenta, yellow, black];
  const data = new Uint8Array(width * height * 3);
  const seen = new Uint8ClampedArray(bandPixels * 3);
  const { kernels } = desk();
  const [joined, ...inks] = desk().lay(bandPixels * 4, ...new Array<number>(4).fill(bandPixels));
  inBands(width * height, (start, count) => {
    for (const [i, plane] of planes.entries()) desk().put(inks[i], plane.subarray(start, start + count));
    kernels.joinFour(inks[0], inks[1], inks[2], inks[3], count, joined);
    table.run(desk().look(joined, count * 4), count, seen);
    data.set(seen.subarray(0, count * 3), start * 3);
  });
  return { width, height, model: 'rgb', alpha: false, data };
}
