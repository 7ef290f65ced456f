import { figureBeside } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import { channelsOf, maxOf, type Raster } from '../model/raster.js';

/**
 * Lays a flat picture onto white paper: straight alpha is composited and dropped, each sample rounded to the nearest.
 * A picture without alpha is handed back as it is.
 *
 * @param raster grey, rgb or cmyk, 8 or 16 bit; white is the largest sample in grey and rgb, no ink (0) in cmyk
 * @returns a raster of the same size, model and depth without alpha
 */
export function ontoPaper(raster: Raster): Raster {
  if (!raster.alpha) return raster;
  const channels = channelsOf(raster) - 1;
  const samples = raster.width * raster.height * channels;
  const data = raster.data instanceof Uint8Array ? new Uint8Array(samples) : new Uint16Array(samples);
  layOnto(data, raster.data, channels, maxOf(raster), raster.model === 'cmyk' ? 0 : maxOf(raster));
  return { width: raster.width, height: raster.height, model: raster.model, alpha: false, data };
}

/** Share of a picture's pixels that are not fully opaque, in percent; 0 for a picture without alpha. */
export function notOpaquePercent(raster: Raster): number {
  const pixels = raster.width * raster.height;
  if (!raster.alpha || pixels === 0) return 0;
  const { data } = raster;
  const channels = channelsOf(raster);
  const opaque = maxOf(raster);
  let count = 0;
  for (let i = channels - 1; i < data.length; i += channels) if (data[i] !== opaque) count++;
  return (count * 100) / pixels;
}

/** value = (sample x alpha + paper x (max - alpha)) / max. The sums stay below 2^33, where doubles are exact. */
function layOnto(
  out: Uint8Array | Uint16Array,
  data: Uint8Array | Uint16Array,
  channels: number,
  max: number,
  paper: number,
): void {
  // max is odd, so no quotient falls on a half and adding the half rounded down rounds to the nearest.
  const half = (max - 1) / 2;
  const pixels = out.length / channels;
  for (let pixel = 0, from = 0, to = 0; pixel < pixels; pixel++, from += channels + 1, to += channels) {
    const alpha = data[from + channels];
    if (alpha === max) {
      for (let c = 0; c < channels; c++) out[to + c] = data[from + c];
      continue;
    }
    const shine = paper * (max - alpha) + half;
    for (let c = 0; c < channels; c++) out[to + c] = Math.floor((data[from + c] * alpha + shine) / max);
  }
}

/** Notes transparency that a flat page still had; it was laid on white paper. */
export function noticeAlpha(transparentPercent: number): Noticed[] {
  if (transparentPercent <= 0) return [];
  return [
    {
      code: 'alpha-left',
      severity: 'warn',
      message: 'The flat page still holds transparency; it was laid on white paper',
      measured: `${figureBeside(transparentPercent, 0, 1)} % of the pixels are not opaque`,
      limit: 'none',
      source: 'TIFF 6.0 section 16: a separated page has no extra samples',
      remedy: 'Flatten the page onto paper before dropping it, if the white is not meant.',
    },
  ];
}
