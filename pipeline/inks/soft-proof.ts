import { loadProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import type { Press } from '../../config/press.js';
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

const bandPixels = 1 << 15;

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
  const data = new Uint8Array(width * height * 3);
  const inks = new Uint8Array(bandPixels * 4);
  const seen = new Uint8ClampedArray(bandPixels * 3);
  for (let start = 0; start < width * height; start += bandPixels) {
    const count = Math.min(bandPixels, width * height - start);
    for (let pixel = start, at = 0; pixel < start + count; pixel++, at += 4) {
      inks[at] = cyan[pixel];
      inks[at + 1] = magenta[pixel];
      inks[at + 2] = yellow[pixel];
      inks[at + 3] = black[pixel];
    }
    table.run(inks, count, seen);
    data.set(seen.subarray(0, count * 3), start * 3);
  }
  return { width, height, model: 'rgb', alpha: false, data };
}
