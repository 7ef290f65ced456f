import type { LineSettings } from '../config/print-spec.js';
import type { SizePx } from '../config/units.js';
import { type FitPlan, fitPlate } from './fit.js';
import { desk } from './kernels/page-arena.js';
import { inverted, sumOf } from './kernels/samples.js';
import { bitmapOf, countSet, isSet, lowestBit, rowsAtOnce, samplesOf, wordsOf } from './line/bitmap.js';
import type { Noticed } from './model/findings.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from './model/raster.js';
import type { FlatPicture, InkPicture, WorkingPicture } from './model/working-page.js';

/** Luminance weights of ITU-R BT.601, in 256ths: how dark a coloured pixel of line art looks. */
const luma = { red: 77, green: 150, blue: 29 } as const;

/**
 * How much ink each pixel of a line picture holds: width x height x 1, 0 paper to 255 ink; always a picture of its own.
 * Darkness times opacity; a CMYK picture counts its black ink and the darkness of the others together.
 */
export function inkAmount(picture: Raster): Plate {
  const { width, height, data } = picture;
  if (picture.model === 'grey' && !picture.alpha && data instanceof Uint8Array) {
    return { width, height, data: inverted(data) };
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
export function inkBits({ data, width, height }: Raster): Bitmap {
  return bitmapOf(data as Uint8Array, { width, height }, 255, true);
}

/** Line art of 1 bit as its ink. */
export function inkOnly({ kind, raster, bitsPerSample, isFitted, ...facts }: FlatPicture): InkPicture {
  return { ...facts, kind: 'ink', ink: inkBits(raster) };
}

/** Line art of 1 bit as the samples that it had. */
export function withSamples({ kind, ink, ...facts }: InkPicture): FlatPicture {
  const { width, height } = ink;
  const samples = samplesOf(ink);
  const data = inverted(samples, samples);
  const raster: Raster = { width, height, model: 'grey', alpha: false, data };
  return { ...facts, kind: 'flat', bitsPerSample: 1, raster };
}

/**
 * The line plate: ink or paper at the line ppi, nothing between. At the plate's own size each pixel is only compared
 * with the threshold, so 1-bit inks arrive bit for bit; other sizes are resampled as tone first and then decided.
 * @param amount width x height x 1, 0 paper to 255 ink; a bitmap where it is decided already
 */
export async function linePlate(
  amount: Plate | Bitmap,
  plan: FitPlan,
  size: SizePx,
  settings: Pick<LineSettings, 'thresholdPercent'>,
): Promise<Bitmap> {
  if ('bits' in amount) {
    const { width, height } = plan.crop;
    const isWhole = width === amount.width && height === amount.height;
    if (isWhole && width === size.width && height === size.height) return amount;
  }
  const tone = 'bits' in amount ? { ...amount, data: samplesOf(amount) } : amount;
  const fitted = await fitPlate(tone, plan, size);
  return bitmapOf(fitted.data, size, thresholdOf(settings));
}

/** The least ink amount (1 to 255) that counts as ink. */
export function thresholdOf(settings: Pick<LineSettings, 'thresholdPercent'>): number {
  return Math.max(1, Math.ceil((settings.thresholdPercent / 100) * 255));
}

/** Takes ink off a plate, in place, wherever the mask (of any size) is set: the nearest mask pixel decides. */
export function withoutMasked(plate: Plate, mask: Bitmap): Plate {
  const { data } = plate;
  const columns = nearestIndex(plate.width, mask.width);
  const rows = nearestIndex(plate.height, mask.height);
  for (let y = 0, i = 0; y < plate.height; y++) {
    for (let x = 0; x < plate.width; x++, i++) {
      if (data[i] !== 0 && isSet(mask, columns[x], rows[y])) data[i] = 0;
    }
  }
  return plate;
}

/** As `withoutMasked`, for a line plate. */
export function lineWithoutMasked(line: Bitmap, mask: Bitmap): Bitmap {
  const kept = { ...line, bits: line.bits.slice() };
  const words = wordsOf(kept);
  const columns = nearestIndex(line.width, mask.width);
  const rows = nearestIndex(line.height, mask.height);
  const wordsInRow = line.rowBytes >> 2;
  for (let y = 0, at = 0; y < line.height; y++) {
    for (let x = 0; x < wordsInRow * 32; x += 32, at++) {
      for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
        const bit = lowestBit(rest);
        if (isSet(mask, columns[x + bit], rows[y])) words[at] &= ~(1 << bit);
      }
    }
  }
  return kept;
}

function nearestIndex(length: number, sourceLength: number): Int32Array {
  const index = new Int32Array(length);
  for (let i = 0; i < length; i++) {
    index[i] = Math.min(sourceLength - 1, Math.floor(((i + 0.5) * sourceLength) / length));
  }
  return index;
}

/** Ink wherever either plate has ink; both of one size. */
export function bothLines(first: Plate, second: Plate): Plate {
  const data = new Uint8Array(first.data);
  for (let i = 0; i < data.length; i++) data[i] = Math.max(data[i], second.data[i]);
  return { ...first, data };
}

/** Share of a plate that is ink, in percent. */
export function inkSharePercent(plate: Plate | Bitmap): number {
  const pixels = plate.width * plate.height;
  if (pixels === 0) return 0;
  return (('bits' in plate ? countSet(plate) : sumOf(plate.data) / 255) / pixels) * 100;
}

/** From this share of the ink area on, grey is more than a stray smudge. Common practice, no published source. */
const greyShareLimitPercent = 0.5;

/**
 * Looks for grey in line art, which a 1-bit plate cannot hold. The soft edge of a scanned line is no wash: only grey
 * that is grey on all four sides counts.
 */
export function noticeGrey(amount: Plate): Noticed[] {
  const { grey, ink } = countGrey(amount);
  const sharePercent = ink === 0 ? 0 : (grey / ink) * 100;
  if (sharePercent <= greyShareLimitPercent) return [];
  return [
    {
      code: 'line-grey',
      severity: 'warn',
      message: 'The line art holds grey tone, which becomes black or paper on the 1-bit line plate',
      measured: `${sharePercent.toFixed(1)} % of the ink`,
      limit: `${greyShareLimitPercent} %`,
      source: 'common practice, no published source',
      remedy: 'Move washes and grey tone to the colour part, or check the proof and accept the finding.',
    },
  ];
}

/** Tones between these amounts are neither ink nor paper: 20 to 80 percent. */
const greyFrom = 51;
const greyTo = 204;

function countGrey({ width, height, data }: Plate): { grey: number; ink: number } {
  const on = desk();
  const most = rowsAtOnce(width);
  const [place, counts] = on.lay((most + 2) * width, 8);
  const found = { grey: 0, ink: 0 };
  // Each band comes with the row above it and the one below.
  for (let y = 1; y < height - 1; y += most) {
    const rows = Math.min(most, height - 1 - y);
    const at = on.reach(data.subarray((y - 1) * width, (y + rows + 1) * width), place);
    on.kernels.countGrey(at + width, width, rows, greyFrom, greyTo - greyFrom, counts);
    const [grey, ink] = new Uint32Array(on.look(counts, 8).slice().buffer);
    found.grey += grey;
    found.ink += ink;
  }
  return found;
}
