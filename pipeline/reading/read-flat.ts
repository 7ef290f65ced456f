import { readFile } from 'node:fs/promises';
import { counted } from '../../config/figures.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Raster, StatedPpi } from '../model/raster.js';
import type { FlatPicture } from '../model/working-page.js';
import { type ByteSource, damaged, unsupported } from './byte-source.js';
import {
  type DecodeFit,
  type DecodeRequest,
  decodeSamples,
  type FitWish,
  type SampleSpace,
  type Samples,
  sizeWith,
} from './decode-picture.js';
import { describeJpeg } from './jpeg-picture.js';
import { checkPngEnd, describePng } from './png-picture.js';
import { checkPictureSize, type ReadLimits } from './read-limits.js';
import { interleave, keepChannels, straighten } from './sample-channels.js';
import { exchangesAxes, noticeTurned, type StoredPicture } from './stored-picture.js';
import { emptyTail, type TiffBlocks, tiffBlocks } from './tiff-blocks.js';
import { readTiff, type Tiff } from './tiff-directory.js';
import { describeTiff, type TiffPicture } from './tiff-picture.js';
import { repackTiff } from './tiff-repack.js';

/** An open flat file, as `read` hands it on. */
export interface FlatFile {
  /** Its content, or its path where it is too large to be held. */
  readonly input: string | Buffer;
  readonly source: ByteSource;
  readonly format: FlatPicture['format'];
  /** Which picture of a multi-page TIFF, counted from 1. */
  readonly picture: number | undefined;
  readonly limits: ReadLimits;
  readonly fit?: FitWish | undefined;
}

/**
 * Reads a TIFF, PNG or JPEG: headers by ourselves, pixels through sharp, numbers as they stand in the file.
 * @throws PlatehandError `picture-unreadable`, `picture-unsupported`, `picture-too-large`
 */
export async function readFlat(file: FlatFile, arena: PageArena): Promise<FlatPicture> {
  if (file.format === 'tiff') return readTiffPicture(file, arena);
  if (file.picture !== undefined && file.picture !== 1) {
    throw unsupported(
      file.source.name,
      `it holds one picture, and job.yaml asks for picture ${file.picture}`,
      'Leave out picture for this file in job.yaml',
    );
  }
  const stored =
    file.format === 'png' ? await describePng(file.source) : await describeJpeg(file.source, file.limits);
  checkPictureSize({ ...stored, alpha: stored.alphaAt !== undefined }, file.limits, file.source.name);
  if (file.format === 'png') await checkPngEnd(file.source);
  const plan = samplePlan(stored);
  const request = await requestFor(file, plan, fitFor(file, stored, plan));
  const samples = await decodeSamples(request, arena);
  return flatPicture(
    file,
    stored,
    takeChannels(file.source.name, samples, plan),
    samples.noticed,
    request.fit,
  );
}

async function readTiffPicture(file: FlatFile, arena: PageArena): Promise<FlatPicture> {
  const tiff = await readTiff(file.source);
  const stored = await describeTiff(tiff, file.picture);
  checkPictureSize({ ...stored, alpha: stored.alphaAt !== undefined }, file.limits, file.source.name);
  const blocks = await tiffBlocks(tiff, stored, file.limits);
  const tail = await emptyTail(tiff, stored, blocks);
  const { data, width, height, noticed, fit } = await decodeTiff(file, tiff, stored, blocks, arena);
  if (stored.premultiplied) straighten(data, channelCount(stored));
  return flatPicture(file, stored, { data, width, height }, tail ? [...noticed, tail] : noticed, fit);
}

type Pixels = Pick<Samples, 'width' | 'height' | 'data'>;

async function decodeTiff(
  file: FlatFile,
  tiff: Tiff,
  stored: TiffPicture,
  blocks: TiffBlocks,
  arena: PageArena,
): Promise<Pixels & { noticed: readonly Noticed[]; fit?: DecodeFit | undefined }> {
  const plan = samplePlan(stored);
  if (beyondDecoder(stored)) return decodePlanes(file, tiff, stored, blocks, arena);
  const request = await requestFor(file, plan, fitFor(file, stored, plan));
  const samples = stored.premultiplied
    ? await decodeSamples({ ...request, input: await repackTiff(tiff, stored, blocks, undefined) }, arena)
    : await decodeSamples({ ...request, page: stored.directoryIndex }, arena);
  return { ...takeChannels(file.source.name, samples, plan), noticed: samples.noticed, fit: request.fit };
}

/**
 * Tiles in separate planes are beyond libvips 8.18, and it mixes up the separate planes of grey with alpha without a
 * word. One by one, as so many grey pictures, it decodes them right.
 */
function beyondDecoder(stored: TiffPicture): boolean {
  const further = stored.channels > keptChannels(stored).length;
  return stored.planar && (stored.tiled || stored.model === 'grey' || further);
}

async function decodePlanes(
  file: FlatFile,
  tiff: Tiff,
  stored: TiffPicture,
  blocks: TiffBlocks,
  arena: PageArena,
): Promise<Pixels & { noticed: readonly Noticed[] }> {
  const bits = stored.bits === 16 ? 16 : 8;
  const plan: SamplePlan = { space: bits === 16 ? 'grey16' : 'b-w', bits, channels: 1, keep: [0] };
  const planes: Samples['data'][] = [];
  const noticed: Noticed[] = [];
  let size = { width: 0, height: 0 };
  for (const plane of keptChannels(stored)) {
    const request = await requestFor(file, plan);
    const samples = await decodeSamples(
      { ...request, input: await repackTiff(tiff, stored, blocks, plane) },
      arena,
    );
    planes.push(takeChannels(file.source.name, samples, plan).data);
    noticed.push(...samples.noticed);
    size = { width: samples.width, height: samples.height };
  }
  return { ...size, data: interleave(planes), noticed };
}

/** How samples are asked of the decoder, and which of the channels it then gives are kept. */
interface SamplePlan {
  readonly space: SampleSpace;
  readonly bits: 8 | 16;
  readonly channels: number;
  readonly keep: readonly number[];
}

function keptChannels(stored: StoredPicture): number[] {
  const colours = { grey: [0], rgb: [0, 1, 2], cmyk: [0, 1, 2, 3] }[stored.model];
  return stored.alphaAt === undefined ? colours : [...colours, stored.alphaAt];
}

function channelCount(stored: StoredPicture): number {
  return keptChannels(stored).length;
}

function samplePlan(stored: StoredPicture): SamplePlan {
  const bits = stored.bits === 16 ? 16 : 8;
  const keep = keptChannels(stored);
  const { channels, model } = stored;
  if (model === 'cmyk') return { space: 'cmyk', bits, channels, keep };
  if (model === 'rgb') return { space: bits === 16 ? 'rgb16' : 'srgb', bits, channels, keep };
  if (bits === 16) return { space: 'grey16', bits, channels, keep };
  if (keep.length === 1) return { space: 'b-w', bits, channels: 1, keep };
  // Asked for 8-bit grey, sharp drops alpha. Asked for RGB, it repeats the grey three times and keeps alpha.
  return {
    space: 'srgb',
    bits,
    channels: channels + 2,
    keep: keep.map((channel) => (channel === 0 ? 0 : channel + 2)),
  };
}

/**
 * Whether decoding may bring the picture to its print size on the way. Only upright RGB without further channels: there
 * it is known to give the same numbers as resampling afterwards. JPEG is left out, because its decoder likes to scale
 * by itself.
 */
function fitFor(file: FlatFile, stored: StoredPicture, plan: SamplePlan): DecodeFit | undefined {
  const { format, model, orientation, width, height, ppi } = stored;
  if (format === 'jpeg' || model !== 'rgb' || orientation !== 1) return undefined;
  if (plan.channels !== 3 || stored.alphaAt !== undefined) return undefined;
  return file.fit?.({ width, height, ppi });
}

async function requestFor(file: FlatFile, plan: SamplePlan, fit?: DecodeFit): Promise<DecodeRequest> {
  return {
    // A path that ends in brackets would be taken for options of the decoder.
    input:
      typeof file.input === 'string' && file.input.endsWith(']') ? await readFile(file.input) : file.input,
    name: file.source.name,
    space: plan.space,
    bits: plan.bits,
    turnUpright: true,
    isTiff: file.format === 'tiff',
    maxPixels: file.limits.maxPixels,
    fit,
  };
}

function takeChannels(name: string, samples: Samples, plan: SamplePlan): Pixels {
  if (samples.channels !== plan.channels) {
    throw damaged(
      name,
      `its header promises ${counted(plan.channels, 'channel')} and its pixels have ${samples.channels}`,
    );
  }
  return { ...samples, data: keepChannels(samples.data, samples.channels, plan.keep) };
}

function flatPicture(
  file: FlatFile,
  stored: StoredPicture,
  pixels: Pixels,
  decoding: readonly Noticed[],
  fit?: DecodeFit,
): FlatPicture {
  const { orientation } = stored;
  const exchanged = exchangesAxes(orientation);
  const [width, height] = exchanged ? [stored.height, stored.width] : [stored.width, stored.height];
  const arrives = fit === undefined ? { width, height } : sizeWith(fit.size, fit.edges);
  if (pixels.width !== arrives.width || pixels.height !== arrives.height) {
    throw damaged(
      file.source.name,
      `its header promises ${width} x ${height} pixels and it holds ${pixels.width} x ${pixels.height}`,
    );
  }
  const raster: Raster = {
    width: pixels.width,
    height: pixels.height,
    model: stored.model,
    alpha: stored.alphaAt !== undefined,
    data: pixels.data,
  };
  const ppi: StatedPpi | undefined =
    exchanged && stored.ppi !== undefined ? { x: stored.ppi.y, y: stored.ppi.x } : stored.ppi;
  return {
    kind: 'flat',
    format: stored.format,
    width,
    height,
    ppi,
    statedDay: stored.statedDay,
    // A copy: the header's bytes are a window into a larger piece of the file.
    profile: stored.profile && Uint8Array.from(stored.profile),
    bitsPerSample: stored.bits,
    raster,
    isFitted: fit !== undefined,
    noticed: [...stored.noticed, ...decoding, ...(orientation === 1 ? [] : [noticeTurned(orientation)])],
  };
}
