import type { LineSettings } from '../../config/print-spec.js';
import { bandPixels, inBands, type KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { unbleed } from './bled-colour.js';

/**
 * How bright each pixel is as ink goes, 0 to 255: its brightest channel, and brighter where it is more coloured than black may
 * be. A tone of so much is black exactly where every channel is at most so bright and the channels are alike; colour that JPEG let
 * bleed into it is taken off.
 * @param picture rgb or grey without alpha; 16 bit is read to 8
 * @param arena where the tones are allocated
 */
export function toneOf(
  picture: Raster,
  { blackMaxChromaPercent }: Pick<LineSettings, 'blackMaxChromaPercent'>,
  arena: PageArena,
): Plate {
  const { width, height } = picture;
  const chroma = Math.floor((blackMaxChromaPercent / 100) * 255);
  const tone = { width, height, data: tonesOf(picture, chroma, arena) };
  if (channelsOf(picture) >= 3) unbleed(tone, picture, chroma);
  return tone;
}

/** @param chroma the channels of a pixel may differ by so much of 255 before it counts as brighter */
function tonesOf(picture: Raster, chroma: number, arena: PageArena): Uint8Array {
  const { width, height, data } = picture;
  const tones = arena.allocate(width * height);
  const channels = channelsOf(picture);
  if (channels === 3 && data instanceof Uint8Array) return tonesInto(tones, data, chroma, arena);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const [second, third] = channels < 3 ? [0, 0] : [1, 2];
  for (let i = 0, j = 0; i < tones.length; i++, j += channels) {
    const [red, green, blue] = [data[j] >> shift, data[j + second] >> shift, data[j + third] >> shift];
    const high = Math.max(red, green, blue);
    const coloured = high - Math.min(red, green, blue) - chroma;
    tones[i] = Math.min(255, high + Math.max(0, coloured));
  }
  return tones;
}

/** Tones of pixels of three samples of 8 bit. */
function tonesInto(tones: Uint8Array, pixels: Uint8Array, chroma: number, memory: KernelMemory): Uint8Array {
  const [from, to] = memory.scratch(bandPixels * 3, bandPixels);
  inBands(tones.length, (start, count) => {
    const into = tones.subarray(start, start + count);
    const at = memory.writableAddress(into, to);
    const band = memory.addressOf(pixels.subarray(start * 3, (start + count) * 3), from);
    memory.kernels.tonesOf(band, count, chroma, at);
    memory.store(at, into);
  });
  return tones;
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

/** The brightest channel of each pixel of an rgb or grey picture without alpha, 0 to 255; in the arena. */
export function levelsOf(raster: Raster, arena: PageArena): Uint8Array {
  // No pixel's channels differ by more, so that nothing is added.
  return tonesOf(raster, 255, arena);
}

/** As `levelsOf`, of one pixel. */
export function levelAt(raster: Raster, i: number): number {
  const channels = channelsOf(raster);
  let most = 0;
  for (let at = i * channels; at < (i + 1) * channels; at++) most = Math.max(most, raster.data[at]);
  return maxOf(raster) === 255 ? most : most >> 8;
}
