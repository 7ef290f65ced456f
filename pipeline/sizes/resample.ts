import sharp from 'sharp';
import type { SizePx } from '../../config/units.js';
import { channelsOf, type Plate, type Raster, samplesFrom } from '../model/raster.js';
import type { FitPlan } from './plan-fit.js';

/**
 * Brings the planned part of a picture to an exact pixel size, with Lanczos (three lobes). A picture that has that
 * size already is handed on as it is, number for number. Inks of CMYK are resampled one by one, so that none is
 * mistaken for transparency. Keeps model, alpha and depth.
 */
export async function fitRaster(raster: Raster, plan: FitPlan, size: SizePx): Promise<Raster> {
  const { crop } = plan;
  const whole = crop.width === raster.width && crop.height === raster.height;
  if (whole && raster.width === size.width && raster.height === size.height) return raster;
  if (raster.model === 'cmyk' || (raster.model === 'grey' && raster.alpha))
    return fitPlanes(raster, plan, size);
  const data = await resample(raster.data, raster, channelsOf(raster), crop, size);
  return { ...size, model: raster.model, alpha: raster.alpha, data };
}

async function fitPlanes(raster: Raster, plan: FitPlan, size: SizePx): Promise<Raster> {
  const channels = channelsOf(raster);
  const length = size.width * size.height;
  const Samples = raster.data instanceof Uint8Array ? Uint8Array : Uint16Array;
  const data = new Samples(length * channels);
  for (let channel = 0; channel < channels; channel++) {
    const plane = new Samples(raster.width * raster.height);
    for (let i = 0, j = channel; i < plane.length; i++, j += channels) plane[i] = raster.data[j];
    const fitted = await resample(plane, raster, 1, plan.crop, size);
    for (let i = 0, j = channel; i < length; i++, j += channels) data[j] = fitted[i];
  }
  return { ...size, model: raster.model, alpha: raster.alpha, data };
}

/** Brings an 8-bit plate or mask to an exact pixel size; the values between stay (no threshold here). */
export async function fitPlate(plate: Plate, plan: FitPlan, size: SizePx): Promise<Plate> {
  const fitted = await fitRaster({ ...plate, model: 'grey', alpha: false }, plan, size);
  return { ...size, data: fitted.data as Uint8Array };
}

async function resample(
  data: Uint8Array | Uint16Array,
  from: SizePx,
  channels: number,
  crop: FitPlan['crop'],
  size: SizePx,
): Promise<Uint8Array | Uint16Array> {
  const wide = data instanceof Uint16Array;
  const raw = { width: from.width, height: from.height, channels: channels as 1 | 2 | 3 | 4 };
  let image = sharp(data, { raw, limitInputPixels: false });
  if (crop.width !== from.width || crop.height !== from.height) image = image.extract(crop);
  image = image.resize(size.width, size.height, { fit: 'fill', kernel: 'lanczos3' });
  const space = channels <= 2 ? (wide ? 'grey16' : 'b-w') : wide ? 'rgb16' : 'srgb';
  const { data: out } = await image
    .toColourspace(space)
    .raw({ depth: wide ? 'ushort' : 'uchar' })
    .toBuffer({ resolveWithObject: true });
  return samplesFrom(out, wide ? 16 : 8);
}
