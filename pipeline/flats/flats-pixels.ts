import type { SizePx } from '../../config/units.js';
import { channelsOf, type Raster } from '../model/raster.js';

/** A picture of flats in three or four bytes a pixel. */
export interface FlatsPixels extends SizePx {
  readonly bytes: 3 | 4;
  /** width x height x bytes. */
  readonly data: Uint8Array;
  /** Whether the fourth byte is alpha. */
  readonly hasAlpha: boolean;
}

/** Colours as one number each, their first byte lowest; a missing fourth byte is 255. Ground of each kind: */
export const whiteKey = 0xffffffff;
/** Whatever colour is hidden in it. */
export const transparentKey = 0;

/**
 * A picture in bytes as flats are measured: rgb and rgb with alpha of 8 bit as they are, others turned into them. CMYK arrives as red,
 * green and blue by its plain complement, since nothing but sameness of colours is asked for.
 */
export function flatsPixels(raster: Raster): FlatsPixels {
  const { width, height, data, alpha } = raster;
  if (raster.model === 'rgb' && data instanceof Uint8Array) {
    return { width, height, bytes: alpha ? 4 : 3, data, hasAlpha: alpha };
  }
  return { width, height, bytes: 4, data: turned(raster), hasAlpha: alpha };
}

function turned(raster: Raster): Uint8Array {
  const { width, height, model, alpha, data } = raster;
  const channels = channelsOf(raster);
  const shift = data instanceof Uint8Array ? 0 : 8;
  const turnedData = new Uint8Array(width * height * 4);
  for (let from = 0, to = 0; to < turnedData.length; from += channels, to += 4) {
    const sample = (channel: number) => data[from + channel] >> shift;
    const black = model === 'cmyk' ? 255 - sample(3) : 255;
    for (let channel = 0; channel < 3; channel++) {
      if (model === 'grey') turnedData[to + channel] = sample(0);
      else if (model === 'rgb') turnedData[to + channel] = sample(channel);
      else turnedData[to + channel] = Math.round(((255 - sample(channel)) * black) / 255);
    }
    turnedData[to + 3] = alpha ? sample(channels - 1) : 255;
  }
  return turnedData;
}

/** The colour of a pixel, as runs have it. */
export function keyAt({ width, bytes, data, hasAlpha }: FlatsPixels, x: number, y: number): number {
  const at = (y * width + x) * bytes;
  const fourth = bytes === 4 ? data[at + 3] : 255;
  if (hasAlpha && fourth === 0) return transparentKey;
  return (data[at] | (data[at + 1] << 8) | (data[at + 2] << 16) | (fourth << 24)) >>> 0;
}

/** A colour as people write it, `#rrggbb`. */
export function hexOf(key: number): string {
  const bytes = [key & 255, (key >> 8) & 255, (key >> 16) & 255];
  return `#${bytes.map((byte) => byte.toString(16).padStart(2, '0')).join('')}`;
}
