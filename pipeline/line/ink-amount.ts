import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { inverted, invertInto, sumOf } from '../kernels/samples.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import type { FlatPicture, InkPicture, WorkingPicture } from '../model/working-page.js';
import { bitmapOf, bitmapOfLight, countSet, samplesOf } from './bitmap.js';

/** Luminance weights of ITU-R BT.601, in 256ths: how dark a coloured pixel of line art looks. */
const luma = { red: 77, green: 150, blue: 29 } as const;

/**
 * How much ink each pixel of a line picture holds: width x height x 1, 0 paper to 255 ink; always a picture of its own.
 * Darkness times opacity; a CMYK picture counts its black ink and the darkness of the others together.
 * @returns the plate, in the arena where the picture is grey of 8 bit
 */
export function inkAmount(picture: Raster, arena: PageArena): Plate {
  const { width, height, data } = picture;
  if (picture.model === 'grey' && !picture.alpha && data instanceof Uint8Array) {
    return { width, height, data: inverted(data, arena) };
  }
  const amount = new Uint8Array(width * height);
  const channels = channelsOf(picture);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const alphaAt = picture.alpha ? channels - 1 : -1;
  for (let i = 0, j = 0; i < amount.length; i++, j += channels) {
    const dark = darkness(picture, j, shift);
    amount[i] = alphaAt < 0 ? dark : Math.round((dark * (data[j + alphaAt] >> shift)) / 255);
  }
  return { width, height, data: amount };
}

function darkness(picture: Raster, at: number, shift: number): number {
  const { data, model } = picture;
  if (model === 'grey') return 255 - (data[at] >> shift);
  const first = data[at] >> shift;
  const second = data[at + 1] >> shift;
  const third = data[at + 2] >> shift;
  const weighted = (first * luma.red + second * luma.green + third * luma.blue + 128) >> 8;
  return model === 'rgb' ? 255 - weighted : Math.max(data[at + 3] >> shift, weighted);
}

/**
 * Whether a line picture is black and white all over: grey always is; rgb is while no visible pixel is coloured
 * beyond the settings' chroma or, where it is opaque, shows colour instead of black.
 */
export function isNeutral(picture: Raster, settings: LineSettings): boolean {
  if (picture.model === 'grey') return true;
  const { data } = picture;
  const channels = channelsOf(picture);
  const most = (maxOf(picture) * settings.blackMaxChromaPercent) / 100;
  const inks = picture.model === 'cmyk';
  for (let i = 0; i < data.length; i += channels) {
    if (picture.alpha && data[i + channels - 1] === 0) continue;
    const high = Math.max(data[i], data[i + 1], data[i + 2]);
    const low = Math.min(data[i], data[i + 1], data[i + 2]);
    // In CMYK an equal amount of the three inks is grey enough; the scale is the same as in rgb.
    if (high - low > most && !(inks && data[i + 3] > maxOf(picture) - most)) return false;
  }
  return true;
}

/** Whether a line part is one that needs no stacking: flat, and black and white all over. */
export function isBlackLine(
  line: WorkingPicture | InkPicture,
  settings: LineSettings,
): line is FlatPicture | InkPicture {
  return line.kind === 'ink' || (line.kind === 'flat' && isNeutral(line.raster, settings));
}

/** Whether a picture is ink and paper and nothing between: 1 bit, of which none is transparent. */
export function isBitonal({ bitsPerSample, raster }: FlatPicture): boolean {
  return bitsPerSample === 1 && raster.model === 'grey' && !raster.alpha;
}

/** The ink of a picture of 1 bit, which is decided already: 8-bit grey of 0 and 255 without alpha. */
export function inkBits({ data, width, height }: Raster, memory: KernelMemory): Bitmap {
  return bitmapOfLight(data as Uint8Array, { width, height }, 255, memory);
}

/** Line art of 1 bit as its ink. */
export function inkOnly(
  { kind, raster, bitsPerSample, isFitted, ...facts }: FlatPicture,
  memory: KernelMemory,
): InkPicture {
  return { ...facts, kind: 'ink', ink: inkBits(raster, memory) };
}

/** Line art of 1 bit as the samples that it had. */
export function withSamples({ kind, ink, ...facts }: InkPicture, memory: KernelMemory): FlatPicture {
  const { width, height } = ink;
  const samples = samplesOf(ink, 255, memory);
  const data = invertInto(samples, samples, memory);
  const raster: Raster = { width, height, model: 'grey', alpha: false, data };
  return { ...facts, kind: 'flat', bitsPerSample: 1, raster };
}

/** Share of a plate that is ink, in percent. */
export function inkSharePercent(plate: Plate | Bitmap, memory: KernelMemory): number {
  const pixels = plate.width * plate.height;
  if (pixels === 0) return 0;
  const ink = 'bits' in plate ? countSet(plate, memory) : sumOf(plate.data, memory) / 255;
  return (ink / pixels) * 100;
}

/** The least ink amount (1 to 255) that counts as ink. */
export function thresholdOf(settings: Pick<LineSettings, 'thresholdPercent'>): number {
  return Math.max(1, Math.ceil((settings.thresholdPercent / 100) * 255));
}

/**
 * The line plate: ink or paper and nothing between. Each pixel is only compared with the threshold; what is decided already, as
 * 1-bit inks are, stays bit for bit.
 * @param ink at the size of the plate: width x height x 1, 0 paper to 255 ink
 */
export function linePlate(
  ink: Plate | Bitmap,
  settings: Pick<LineSettings, 'thresholdPercent'>,
  memory: KernelMemory,
): Bitmap {
  return 'bits' in ink ? ink : bitmapOf(ink.data, ink, thresholdOf(settings), memory);
}
