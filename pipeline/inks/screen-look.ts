import { loadProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import type { Press } from '../../config/press.js';
import { LruCache } from '../kernels/lru-cache.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { processPlanes, type Separation } from '../model/separation.js';
import type { SoftProofer } from './soft-proof.js';
import { meaningOf } from './source-meaning.js';

/** How a picture looks on a screen, before it is separated. */

/** Nodes along each channel: from one screen's colours to another's, greys come within 1 of 255. */
const gridPoints = 33;

/** Tables kept at a time: the few profiles that one issue mixes. */
const maxTables = 4;

const tables = new LruCache<TableTransform>(maxTables);

/** What a picture is shown with. */
export interface ScreenLook {
  readonly press: Press;
  readonly proofer: SoftProofer;
  /** Brings CMYK of any kind to the inks of the press. */
  separate(raster: Raster, profile: Uint8Array | undefined, arena: PageArena): { separation: Separation };
}

/**
 * Shows a picture as sRGB: RGB and grey by their profile, relative colorimetric; CMYK as it will look in print, paper white.
 * @param raster 8 bit, without alpha
 * @returns rgb or grey, 8 bit; the picture itself where that is what it is
 */
export function onScreen(
  raster: Raster,
  profile: Uint8Array | undefined,
  { press, proofer, separate }: ScreenLook,
  arena: PageArena,
): Raster {
  if (raster.model === 'cmyk') {
    const { separation } = separate(raster, profile, arena);
    return proofer.proof(interleaved(separation), { paperWhite: false }, arena);
  }
  const { source, key } = meaningOf(raster, profile, press);
  if (source === 'srgb' || source === 'press' || profile === undefined) return raster;
  const { width, height, data } = raster;
  if (!(data instanceof Uint8Array)) throw new TypeError('only pictures of 8 bit are shown');
  const from = loadProfile(profile);
  const conversion = { from, to: 'srgb', intent: 'relative', blackPointCompensation: false } as const;
  const table = tables.get(key) ?? tables.set(key, tableTransform(conversion, gridPoints, 8));
  const shown = new Uint8ClampedArray(width * height * 3);
  table.run(data, width * height, shown);
  return { width, height, model: 'rgb', alpha: false, data: new Uint8Array(shown.buffer) };
}

function interleaved(separation: Separation): Raster {
  const { width, height } = separation;
  const data = new Uint8Array(width * height * 4);
  for (const [ink, plane] of processPlanes(separation).entries()) {
    for (let i = 0, to = ink; i < plane.length; i++, to += 4) data[to] = plane[i];
  }
  return { width, height, model: 'cmyk', alpha: false, data };
}
