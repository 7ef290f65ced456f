import sharp from 'sharp';
import type { PixelBox, SizePx } from '../../config/units.js';
import { addEdges, cutOut, type Edges } from '../kernels/edges.js';
import { channelsOf, type Plate, type Raster, samplesFrom } from '../model/raster.js';
import { type FitSteps, fitSteps } from './fit-steps.js';
import type { FitPlan } from './plan-fit.js';

/**
 * Brings the planned part of a picture to an exact pixel size, with Lanczos (three lobes). A part that has that size already
 * is handed on number for number, its edge repeated where it reaches past the picture; the picture itself if it is the whole.
 * Inks of CMYK are resampled one by one, so that none is mistaken for transparency. Keeps model, alpha and depth.
 */
export async function fitRaster(raster: Raster, { crop }: FitPlan, size: SizePx): Promise<Raster> {
  if (crop.width === size.width && crop.height === size.height) return cutRaster(raster, crop);
  const steps = fitSteps(raster, crop, size);
  if (steps === undefined) return resampled(cutRaster(raster, crop), wholeTo(crop, size));
  const inner = await resampled(raster, steps);
  return steps.edges === undefined ? inner : withEdges(inner, steps.edges, size);
}

/** A part of a picture as it is; beyond the picture its edge is repeated. The whole of it is the picture itself. */
export function cutRaster(raster: Raster, crop: PixelBox): Raster {
  if (isWhole(raster, crop)) return raster;
  const { width, height } = crop;
  return { ...raster, width, height, data: cutOut(raster.data, channelsOf(raster), raster, crop) };
}

function isWhole({ width, height }: SizePx, crop: PixelBox): boolean {
  return crop.left === 0 && crop.top === 0 && crop.width === width && crop.height === height;
}

function wholeTo({ width, height }: SizePx, size: SizePx): Pick<FitSteps, 'crop' | 'size'> {
  return { crop: { left: 0, top: 0, width, height }, size };
}

function withEdges(raster: Raster, edges: Edges, wanted: SizePx): Raster {
  const channels = channelsOf(raster);
  const Samples = raster.data instanceof Uint8Array ? Uint8Array : Uint16Array;
  const data = new Samples(wanted.width * wanted.height * channels);
  data.set(raster.data);
  addEdges(data, channels, raster, edges);
  return { ...raster, width: wanted.width, height: wanted.height, data };
}

async function resampled(raster: Raster, { crop, size }: Pick<FitSteps, 'crop' | 'size'>): Promise<Raster> {
  if (raster.model === 'cmyk' || (raster.model === 'grey' && raster.alpha))
    return resampledPlanes(raster, crop, size);
  const data = await resample(raster.data, raster, channelsOf(raster), crop, size);
  return { ...size, model: raster.model, alpha: raster.alpha, data };
}

async function resampledPlanes(raster: Raster, crop: PixelBox, size: SizePx): Promise<Raster> {
  const channels = channelsOf(raster);
  const length = size.width * size.height;
  const Samples = raster.data instanceof Uint8Array ? Uint8Array : Uint16Array;
  const data = new Samples(length * channels);
  for (let channel = 0; channel < channels; channel++) {
    const plane = new Samples(raster.width * raster.height);
    for (let i = 0, j = channel; i < plane.length; i++, j += channels) plane[i] = raster.data[j];
    const fitted = await resample(plane, raster, 1, crop, size);
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
  crop: PixelBox,
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
