import { loadProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import type { Press } from '../../config/press.js';
import { inBands, isWorthwhile, smallBandPixels } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';

/**
 * What the print will look like, on a screen: from the inks through the press profile to sRGB. A soft proof is no
 * contract proof; it knows neither the screen it is seen on nor the light.
 */
export interface SoftProofer {
  /**
   * @param inks cmyk, 8 bit, without alpha
   * @param options `paperWhite` shows the colour of the paper (absolute colorimetric) instead of the screen's white
   * @returns rgb, 8 bit, sRGB, of the same size, allocated in the arena
   */
  proof(inks: Raster, options: { paperWhite: boolean }, arena: PageArena): Raster;
}

/** Nodes along each ink; with 17, greys and tints come within 2 of 255 of the exact conversion. */
const gridPoints = 17;

/** @throws PlatehandError `profile-invalid`, `colour-engine` */
export function openSoftProofer(press: Press): SoftProofer {
  const from = loadProfile(press.profile);
  const tables = new Map<boolean, TableTransform>();
  return {
    proof(inks, { paperWhite }, arena) {
      let table = tables.get(paperWhite);
      if (table === undefined) {
        // No black point compensation: a dull black on newsprint is to be seen as one.
        const intent = paperWhite ? 'absolute' : 'relative';
        table = tableTransform({ from, to: 'srgb', intent, blackPointCompensation: false }, gridPoints, 8);
        tables.set(paperWhite, table);
      }
      return show(inks, table, arena);
    },
  };
}

function show(
  { model, alpha, width, height, data: inks }: Raster,
  table: TableTransform,
  arena: PageArena,
): Raster {
  if (model !== 'cmyk' || alpha || !(inks instanceof Uint8Array)) {
    throw new TypeError('only inks of 8 bit can be soft-proofed');
  }
  const data = arena.allocate(width * height * 3);
  const [place, firsts, starts, looked, to] = arena.scratch(
    ...[
      smallBandPixels * 4,
      smallBandPixels * 4,
      smallBandPixels * 2,
      smallBandPixels * 3,
      smallBandPixels * 3,
    ],
  );
  const seenAt = (bytes: Uint8Array) => new Uint8ClampedArray(bytes.buffer, bytes.byteOffset, bytes.length);
  inBands(
    width * height,
    (start, count) => {
      const band = inks.subarray(start * 4, (start + count) * 4);
      const seen = data.subarray(start * 3, (start + count) * 3);
      const runs = arena.kernels.squeeze(arena.addressOf(band, place), count, 4, firsts, starts);
      if (!isWorthwhile(runs, count)) return table.run(band, count, seenAt(seen));
      table.run(arena.view(firsts, runs * 4), runs, seenAt(arena.view(looked, runs * 3)));
      const at = arena.writableAddress(seen, to);
      arena.kernels.repeatRuns(looked, starts, runs, at);
      arena.store(at, seen);
    },
    smallBandPixels,
  );
  return { width, height, model: 'rgb', alpha: false, data };
}
