import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { bitmapOf } from './bitmap.js';
import { fillBeneath } from './fill-beneath.js';

/**
 * Black lifted from a picture that has its line painted in: the line as ink amount, and the colour beneath, where the
 * black was filled with the colour around it so that a plate out of register shows no paper.
 */
export interface Lifted {
  /** width x height x 1, 0 paper to 255 ink. */
  readonly line: Plate;
  /** The picture that was given, without its black. */
  readonly colour: Raster;
}

/**
 * Lifts the black from a flat rgb or grey picture without alpha.
 *
 * A pixel is solid black when every channel is at most the lifting level and the channels are alike. A soft pixel at
 * its edge is measured against the colour behind it: half as bright means half covered.
 * @param picture changed in place
 * @param depthPx how far colour is carried in under the black (fillDepthPx)
 */
export function liftBlack(
  picture: Raster,
  settings: LineSettings,
  depthPx: number,
  memory: KernelMemory,
): Lifted {
  const tone = toneOf(picture, settings);
  const { width, height } = picture;
  const line = inkAmountOf(tone, width, height);
  fillBeneath(picture, bitmapOf(line, picture, 1, memory), line, depthPx, memory);
  return { line: { width, height, data: line }, colour: picture };
}

/**
 * Copies the solid black ink of a CMYK picture, whose numbers are not to be touched: the colour is handed on as it is.
 */
export function liftBlackInk(picture: Raster, settings: LineSettings): Lifted {
  const { width, height, data } = picture;
  const tone = new Uint8Array(width * height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const channels = channelsOf(picture);
  const level = (settings.liftMaxLevelPercent / 100) * 255;
  for (let i = 0, j = 3; i < tone.length; i++, j += channels) {
    const paper = 255 - (data[j] >> shift);
    if (paper > level) tone[i] = paper;
  }
  return { line: { width, height, data: inkAmountOf(tone, width, height) }, colour: picture };
}

/** Brightness of each pixel, 1 to 255, and 0 only for solid black. */
function toneOf(picture: Raster, settings: LineSettings): Uint8Array {
  const { data } = picture;
  const channels = channelsOf(picture);
  const tone = new Uint8Array(picture.width * picture.height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const level = (settings.liftMaxLevelPercent / 100) * 255;
  const chroma = (settings.blackMaxChromaPercent / 100) * 255;
  for (let i = 0, j = 0; i < tone.length; i++, j += channels) {
    const red = data[j] >> shift;
    const green = channels < 3 ? red : data[j + 1] >> shift;
    const blue = channels < 3 ? red : data[j + 2] >> shift;
    const high = Math.max(red, green, blue);
    const low = Math.min(red, green, blue);
    if (high > level || high - low > chroma)
      tone[i] = Math.max(1, (red * 77 + green * 150 + blue * 29 + 128) >> 8);
  }
  return tone;
}

/** Full ink on solid black, a share of it on the soft pixels that touch it, nothing elsewhere. */
function inkAmountOf(tone: Uint8Array, width: number, height: number): Uint8Array {
  const amount = new Uint8Array(width * height);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      if (tone[i] !== 0) continue;
      amount[i] = 255;
      if (x > 0 && tone[i - 1] !== 0) soften(amount, tone, i - 1, x > 1 ? i - 2 : i - 1);
      if (x < width - 1 && tone[i + 1] !== 0) soften(amount, tone, i + 1, x < width - 2 ? i + 2 : i + 1);
      if (y > 0 && tone[i - width] !== 0) soften(amount, tone, i - width, y > 1 ? i - 2 * width : i - width);
      if (y < height - 1 && tone[i + width] !== 0) {
        soften(amount, tone, i + width, y < height - 2 ? i + 2 * width : i + width);
      }
    }
  }
  return amount;
}

/**
 * What of a soft pixel is ink: how much darker it is than the pixel behind it, seen from the black. Only that
 * direction counts, so that a dark colour beside a thin line is not taken for ink because paper lies across the line.
 */
function soften(amount: Uint8Array, tone: Uint8Array, soft: number, behind: number): void {
  if (tone[behind] <= tone[soft]) return;
  const share = Math.round(255 * (1 - tone[soft] / tone[behind]));
  if (share > amount[soft]) amount[soft] = share;
}
