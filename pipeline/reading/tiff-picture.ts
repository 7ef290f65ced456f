import { counted } from '../../config/figures.js';
import { type ColourModel, colourChannels } from '../model/raster.js';
import { damaged, unsupported } from './byte-source.js';
import { tiffResolution } from './exif.js';
import { dayOfTiff } from './stated-day.js';
import { asOrientation, type StoredPicture } from './stored-picture.js';
import {
  type Tiff,
  type TiffDirectory,
  tiffBytes,
  tiffNumber,
  tiffNumbers,
  tiffTag,
} from './tiff-directory.js';
import { checkExtras, extraChannels, undeclaredChannels } from './tiff-extras.js';

/** A TIFF picture's header, and what decoding it needs to know beyond what every format has. */
export interface TiffPicture extends StoredPicture {
  readonly format: 'tiff';
  /** Index of its directory in the file's chain. */
  readonly directoryIndex: number;
  readonly directory: TiffDirectory;
  readonly compression: number;
  /** Meaning of the samples, tag 262. */
  readonly photometric: number;
  /** Stored samples of a pixel that are colour, or the palette's index. */
  readonly colours: number;
  readonly samplesPerPixel: number;
  /** Bits of one stored sample; of the palette's index where there is a palette. */
  readonly storedBits: number;
  readonly planar: boolean;
  readonly tiled: boolean;
  /** Colours are stored multiplied by alpha (ExtraSamples 1). */
  readonly premultiplied: boolean;
  /** Zero stands for bare paper or for nothing at all, so that a run of zeros may be meant. */
  readonly zeroIsPaper: boolean;
}

/** Compression schemes that are decoded: TIFF 6.0's and its technical notes', and WebP. */
const decodable = new Set([1, 2, 3, 4, 5, 7, 8, 32773, 32946, 50001]);

const schemeNames: Readonly<Record<number, string>> = {
  6: 'old-style JPEG',
  34661: 'JBIG',
  34712: 'JPEG 2000',
  34887: 'LERC',
  34925: 'LZMA',
  50000: 'ZSTD',
  50002: 'JPEG XL',
};

const photometricNames: Readonly<Record<number, string>> = {
  4: 'a transparency mask',
  6: 'YCbCr without JPEG compression',
  8: 'CIE Lab',
  9: 'ICC Lab',
  10: 'ITU Lab',
  32803: 'raw sensor data',
  32844: 'LogL',
  32845: 'LogLuv',
  34892: 'linear raw sensor data',
};

/**
 * Picks the picture of a TIFF and describes it. A directory that is marked as a reduced copy or a mask
 * (NewSubfileType bits 0 and 2, TIFF 6.0 page 36) is no picture of its own.
 * @param picture which one, counted from 1; undefined where there should be just one
 * @throws PlatehandError `picture-unsupported` or `picture-unreadable`
 */
export async function describeTiff(tiff: Tiff, picture: number | undefined): Promise<TiffPicture> {
  const indexes = await pictureIndexes(tiff);
  const chosen = picture ?? 1;
  if ((picture === undefined && indexes.length > 1) || indexes[chosen - 1] === undefined) {
    const example = `names: {"${tiff.source.name}": {page: 7, part: line, picture: 2}}`;
    const asked =
      picture === undefined ? 'nothing says which one is meant' : `job.yaml asks for picture ${picture}`;
    const which = indexes.length > 1 ? `a number from 1 to ${indexes.length}` : '1, or leave it out';
    throw unsupported(
      tiff.source.name,
      `it holds ${counted(indexes.length, 'picture')}, and ${asked}`,
      `Pick one in job.yaml, such as ${example}; picture is ${which}`,
    );
  }
  const directoryIndex = indexes[chosen - 1];
  return describeDirectory(tiff, directoryIndex, tiff.directories[directoryIndex]);
}

async function pictureIndexes(tiff: Tiff): Promise<number[]> {
  const pictures: number[] = [];
  for (const [index, directory] of tiff.directories.entries()) {
    const kind = await tiffNumber(tiff, directory, tiffTag.newSubfileType, 0);
    const oldKind = await tiffNumber(tiff, directory, tiffTag.subfileType, 1);
    if ((kind & 5) === 0 && oldKind !== 2) pictures.push(index);
  }
  return pictures.length > 0 ? pictures : tiff.directories.map((_, index) => index);
}

async function describeDirectory(
  tiff: Tiff,
  directoryIndex: number,
  directory: TiffDirectory,
): Promise<TiffPicture> {
  const number = (tag: number, otherwise: number) => tiffNumber(tiff, directory, tag, otherwise);
  const meaning = await sampleMeaning(tiff, directory);
  const { model, photometric, palette, colours } = meaning;
  const samplesPerPixel = await number(tiffTag.samplesPerPixel, 1);
  const bits = await bitsOf(tiff, directory);
  checkBits(tiff.source.name, { palette, model, bits, samplesPerPixel });
  const extras = await extraChannels(tiff, directory, colours, samplesPerPixel);
  checkExtras(tiff.source.name, { ...extras, model, palette, photometric });
  return {
    format: 'tiff',
    directoryIndex,
    directory,
    width: await number(tiffTag.imageWidth, 0),
    height: await number(tiffTag.imageLength, 0),
    model,
    bits: palette ? 8 : bits,
    channels: palette ? 3 : samplesPerPixel,
    alphaAt: extras.alphaAt,
    orientation: asOrientation(await number(tiffTag.orientation, 1)),
    ppi: await tiffResolution(tiff, directory),
    statedDay: await dayOfTiff(tiff, directory),
    profile: await tiffBytes(tiff, directory, tiffTag.iccProfile),
    noticed: extras.undeclared > 0 ? [undeclaredChannels(extras.undeclared)] : [],
    compression: meaning.compression,
    photometric,
    colours,
    samplesPerPixel,
    storedBits: bits,
    planar: !palette && (await number(tiffTag.planarConfiguration, 1)) === 2,
    tiled: directory.has(tiffTag.tileOffsets),
    premultiplied: extras.premultiplied,
    zeroIsPaper: photometric === 0 || model === 'cmyk' || palette || extras.alphaAt !== undefined,
  };
}

/** How the samples are packed and what they stand for, refused where that is beyond what is taken in. */
async function sampleMeaning(
  tiff: Tiff,
  directory: TiffDirectory,
): Promise<Pick<TiffPicture, 'compression' | 'photometric' | 'model' | 'colours'> & { palette: boolean }> {
  const { name } = tiff.source;
  const compression = await tiffNumber(tiff, directory, tiffTag.compression, 1);
  if (!decodable.has(compression)) {
    const scheme = schemeNames[compression] ?? `scheme ${compression}`;
    const remedy = 'Save it again with LZW or deflate compression';
    throw unsupported(name, `its pixels are compressed with ${scheme}`, remedy);
  }
  const photometric = await tiffNumber(tiff, directory, tiffTag.photometric, Number.NaN);
  const model = modelOf(name, photometric, compression);
  if (photometric === 5 && (await tiffNumber(tiff, directory, tiffTag.inkSet, 1)) !== 1) {
    throw unsupported(name, 'its inks are not the four process inks', 'Save it again as plain CMYK or RGB');
  }
  const palette = photometric === 3;
  return { compression, photometric, model, palette, colours: palette ? 1 : colourChannels[model] };
}

async function bitsOf(tiff: Tiff, directory: TiffDirectory): Promise<number> {
  const bits = (await tiffNumbers(tiff, directory, tiffTag.bitsPerSample)) ?? [1];
  const formats = (await tiffNumbers(tiff, directory, tiffTag.sampleFormat)) ?? [1];
  const saveAs = 'Save it again with 8 or 16 bits per channel';
  if (bits.some((each) => each !== bits[0])) {
    throw unsupported(tiff.source.name, `its channels differ in depth (${bits.join(', ')} bits)`, saveAs);
  }
  // 1 is unsigned whole numbers, 4 is undefined and means the same in practice (TIFF 6.0 page 80).
  if (formats.some((each) => each !== 1 && each !== 4)) {
    const kind = formats.includes(3) ? 'floating point numbers' : 'signed or complex numbers';
    throw unsupported(tiff.source.name, `its samples are ${bits[0]}-bit ${kind}`, saveAs);
  }
  return bits[0];
}

function modelOf(name: string, photometric: number, compression: number): ColourModel {
  if (photometric === 0 || photometric === 1) return 'grey';
  if (photometric === 2 || photometric === 3 || (photometric === 6 && compression === 7)) return 'rgb';
  if (photometric === 5) return 'cmyk';
  if (Number.isNaN(photometric))
    throw damaged(name, 'it does not say what its samples mean (TIFF tag 262 is missing)');
  const what = photometricNames[photometric] ?? `colour interpretation ${photometric}`;
  throw unsupported(name, `its pixels are ${what}`, 'Save it again as RGB, grey or CMYK');
}

function checkBits(
  name: string,
  stored: { palette: boolean; model: ColourModel; bits: number; samplesPerPixel: number },
): void {
  const { palette, model, bits, samplesPerPixel } = stored;
  const few = bits === 1 || bits === 2 || bits === 4;
  const deep = bits === 16 && !palette;
  if (bits === 8 || deep || (few && samplesPerPixel === 1 && (palette || model === 'grey'))) return;
  const kind = palette ? 'palette' : model === 'grey' ? 'grey' : model.toUpperCase();
  throw unsupported(
    name,
    `it is ${kind} with ${counted(bits, 'bit')} per channel and ${counted(samplesPerPixel, 'channel')}`,
    'Save it again with 8 or 16 bits per channel; line art may have 1 bit and no further channel',
  );
}
