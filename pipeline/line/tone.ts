import type { LineSettings } from '../../config/print-spec.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { unbleed } from './bled-colour.js';

/**
 * How bright each pixel is as ink goes, 0 to 255: its brightest channel, and brighter where it is more coloured than black may
 * be. A tone of so much is black exactly where every channel is at most so bright and the channels are alike; colour that JPEG let
 * bleed into it is taken off.
 * @param picture rgb or grey without alpha; 16 bit is read to 8
 */
export function toneOf(picture: Raster, settings: Pick<LineSettings, 'blackMaxChromaPercent'>): Plate {
  const { width, height, data } = picture;
  const tone = new Uint8Array(width * height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  if (channelsOf(picture) < 3) {
    for (let i = 0; i < tone.length; i++) tone[i] = data[i] >> shift;
    return { width, height, data: tone };
  }
  const chroma = Math.floor((settings.blackMaxChromaPercent / 100) * 255);
  for (let i = 0, j = 0; i < tone.length; i++, j += 3) {
    const red = data[j] >> shift;
    const green = data[j + 1] >> shift;
    const blue = data[j + 2] >> shift;
    const high = Math.max(red, green, blue);
    const low = Math.min(red, green, blue);
    tone[i] = Math.min(255, high + Math.max(0, high - low - chroma));
  }
  unbleed({ width, height, data: tone }, picture, chroma);
  return { width, height, data: tone };
}

/** As `toneOf`, of one pixel. */
export function toneAt(
  picture: Raster,
  i: number,
  { blackMaxChromaPercent }: Pick<LineSettings, 'blackMaxChromaPercent'>,
): number {
  const channels = channelsOf(picture);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  let [high, low] = [0, 255];
  for (let at = i * channels; at < (i + 1) * channels; at++) {
    high = Math.max(high, picture.data[at] >> shift);
    low = Math.min(low, picture.data[at] >> shift);
  }
  return Math.min(255, high + Math.max(0, high - low - Math.floor((blackMaxChromaPercent / 100) * 255)));
}

/** The tone of a CMYK picture by its black ink alone: 255 without, 0 where it is full. */
export function toneOfBlackInk(picture: Raster): Plate {
  const { width, height, data } = picture;
  const tone = new Uint8Array(width * height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const channels = channelsOf(picture);
  for (let i = 0, j = 3; i < tone.length; i++, j += channels) tone[i] = 255 - (data[j] >> shift);
  return { width, height, data: tone };
}

/** The brightest channel of each pixel of an rgb or grey picture without alpha, 0 to 255. */
export function levelsOf(raster: Raster): Uint8Array {
  const { data } = raster;
  const channels = channelsOf(raster);
  const levels = new Uint8Array(raster.width * raster.height);
  const shift = maxOf(raster) === 255 ? 0 : 8;
  const green = channels === 1 ? 0 : 1;
  for (let i = 0, j = 0; i < levels.length; i++, j += channels) {
    levels[i] = Math.max(data[j], data[j + green], data[j + 2 * green]) >> shift;
  }
  return levels;
}

/** As `levelsOf`, of one pixel. */
export function levelAt(raster: Raster, i: number): number {
  const channels = channelsOf(raster);
  let most = 0;
  for (let at = i * channels; at < (i + 1) * channels; at++) most = Math.max(most, raster.data[at]);
  return maxOf(raster) === 255 ? most : most >> 8;
}
