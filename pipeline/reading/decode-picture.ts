import sharp from 'sharp';
import { messageOf, PlatehandError } from '../../config/errors.js';
import type { PixelBox, SizePx } from '../../config/units.js';
import { addEdges, type Edges } from '../kernels/edges.js';
import { halveAcross } from '../kernels/halve-across.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import { type StatedPpi, samplesFrom } from '../model/raster.js';
import { damaged, unsupported } from './byte-source.js';

/** How samples leave the decoder: the names sharp has for numbers that are passed on as they are. */
export type SampleSpace = 'b-w' | 'grey16' | 'srgb' | 'rgb16' | 'cmyk';

export interface DecodeRequest {
  /** Path, or the file's bytes. */
  readonly input: string | Uint8Array;
  /** Name for messages. */
  readonly name: string;
  /** How its samples are meant. */
  readonly space: SampleSpace;
  /** Of each sample as it is handed on. */
  readonly bits: 8 | 16;
  /** Directory of a TIFF, counted from 0. */
  readonly page?: number;
  /** Turn the picture as its orientation tag says. */
  readonly turnUpright: boolean;
  /** Add an opaque alpha channel where there is none. */
  readonly ensureAlpha?: boolean;
  /** TIFFs are freed of a limit of the library's own. */
  readonly isTiff: boolean;
  /** A picture of more pixels is refused. */
  readonly maxPixels: number;
  /** Bring it to another size on the way; undefined decodes it as it is. */
  readonly fit?: DecodeFit | undefined;
}

/**
 * The part of a picture that is wanted, and the size in pixels that it is to have. Resampling while decoding (Lanczos,
 * three lobes) gives the same numbers as resampling afterwards, without the whole picture ever being in memory.
 */
export interface DecodeFit {
  /** Within the picture. */
  readonly crop: PixelBox;
  /** What the crop is resampled to. */
  readonly size: SizePx;
  /** What is then repeated at the edges, in pixels of the result; nothing where it is left out. */
  readonly edges?: Edges | undefined;
}

/** Asked once the size of a flat picture is known: what of it is wanted; undefined takes it as it is. */
export type FitWish = (found: SizePx & { readonly ppi: StatedPpi | undefined }) => DecodeFit | undefined;

/** Decoded samples, interleaved: width x height x channels. */
export interface Samples {
  readonly width: number;
  readonly height: number;
  readonly channels: number;
  readonly data: Uint8Array | Uint16Array;
  readonly noticed: readonly Noticed[];
}

/**
 * Warnings that speak of metadata, or of a habit of writing that leaves the pixels whole. Every other warning means
 * that pixels may be missing: half a picture must never pass for a whole one.
 */
const harmless = [
  /does not end in null byte/,
  /tags are not sorted in ascending order/,
  /^Incorrect count for "(?!Strip|Tile|BitsPerSample|Color|Samples|Extra|JPEG)/,
  /^assuming 8-bit palette/,
  /"(DateTime|Software|Artist|HostComputer|ImageDescription|DocumentName|PageName|Make|Model|Copyright)".*tag ignored/,
  /^Ignoring invalid time value/,
  /Defining non-color channels as ExtraSamples/,
  /missing required "StripByteCounts" field/,
  /^Unknown field with tag/,
  /^(iCCP|cHRM|gAMA|sRGB|cICP|tEXt|zTXt|iTXt|tIME|pHYs|sBIT|bKGD|hIST|eXIf|sPLT|oFFs): /,
  /^(exif|xmp|icc|profile)/i,
];

/** Channels that a page may have: four inks, alpha, and saved selections that are left out afterwards. */
const maxChannels = 16;

// The decoder's cache would hold files open and pixels in memory that nobody asks for again.
sharp.cache(false);

let last: Promise<void> = Promise.resolve();

function nothing(): void {}

/**
 * Decodes one picture without any change of its numbers: profiles are ignored, nothing is converted.
 * One picture at a time, because the decoder gathers warnings for the whole process and cannot say whose they are.
 * @param arena where a picture stands, beyond the end of the scope, that is halved on the way
 * @throws PlatehandError `picture-unreadable`, `picture-too-large`
 */
export function decodeSamples(request: DecodeRequest, arena: PageArena): Promise<Samples> {
  const run = last.then(() => decodeAlone(request, arena));
  // Waits for its end and keeps nothing of it: the pixels would stay in memory until the next picture.
  last = run.then(nothing, nothing);
  return run;
}

async function decodeAlone(request: DecodeRequest, arena: PageArena): Promise<Samples> {
  const warnings = new Set<string>();
  const pipeline = sharp(request.input, {
    failOn: 'error',
    ignoreIcc: true,
    autoOrient: request.turnUpright,
    limitInputPixels: request.maxPixels,
    limitInputChannels: maxChannels,
    // The decoder's own limit refuses sound files with one large strip; headers were checked against ours before.
    unlimited: request.isTiff,
    ...(request.page === undefined ? {} : { page: request.page }),
  });
  pipeline.on('warning', (warning: string) => warnings.add(warning.trim()));
  if (request.space === 'cmyk') pipeline.pipelineColourspace('cmyk');
  if (request.ensureAlpha) pipeline.ensureAlpha();
  if (request.fit !== undefined) {
    const { crop, size } = request.fit;
    const width = isHalvedHere(request) ? crop.width : size.width;
    pipeline.extract(crop).resize(width, size.height, { fit: 'fill', kernel: 'lanczos3' });
  }
  pipeline.toColourspace(request.space).raw({ depth: request.bits === 16 ? 'ushort' : 'uchar' });
  try {
    const { data, info } = await pipeline.toBuffer({ resolveWithObject: true });
    const noticed = judgeWarnings(request.name, warnings);
    const { width, height, channels } = info;
    const samples = samplesFrom(data, request.bits);
    if (samples.length !== width * height * channels) {
      throw damaged(request.name, 'its pixels do not fill its size');
    }
    const found = { width, height, channels, data: samples, noticed };
    if (isHalvedHere(request)) return halved(found, arena, request.fit?.edges);
    return request.fit?.edges === undefined ? found : withEdges(found, request.fit.edges);
  } catch (error) {
    throw error instanceof PlatehandError ? error : decodingFailure(request.name, error);
  }
}

/** Whether rows are halved by ourselves once the library has brought the picture to its height. */
function isHalvedHere({ fit, space, bits }: DecodeRequest): boolean {
  return fit !== undefined && space === 'srgb' && bits === 8 && fit.crop.width === 2 * fit.size.width;
}

function halved(wide: Samples, arena: PageArena, edges: Edges | undefined): Samples {
  const size = { width: wide.width / 2, height: wide.height };
  const data = halveAcross(wide.data as Uint8Array, size, arena, edges);
  return { ...wide, ...sizeWith(size, edges), data };
}

function withEdges(found: Samples, edges: Edges): Samples {
  const { channels } = found;
  const size = sizeWith(found, edges);
  const Samples = found.data instanceof Uint8Array ? Uint8Array : Uint16Array;
  const data = new Samples(size.width * size.height * channels);
  data.set(found.data);
  addEdges(data, channels, found, edges);
  return { ...found, ...size, data };
}

/** The size of a picture with its edges repeated. */
export function sizeWith({ width, height }: SizePx, edges: Edges | undefined): SizePx {
  if (edges === undefined) return { width, height };
  return { width: width + edges.left + edges.right, height: height + edges.top + edges.bottom };
}

function judgeWarnings(name: string, warnings: ReadonlySet<string>): Noticed[] {
  for (const warning of warnings) {
    if (!harmless.some((pattern) => pattern.test(warning))) {
      throw damaged(name, `its pixels are damaged (${tidy(warning)})`);
    }
  }
  return [...warnings].map((warning) => ({
    code: 'picture-metadata',
    severity: 'note',
    message: `Its metadata are not quite in order: ${tidy(warning)}`,
    remedy: 'Nothing to do; the pixels are whole',
  }));
}

function decodingFailure(name: string, error: unknown): PlatehandError {
  const message = messageOf(error);
  if (message.includes('exceeds pixel limit')) {
    return new PlatehandError(
      'picture-too-large',
      'it holds more pixels than are taken in',
      'Save it at the size the page needs',
      { place: { file: name }, cause: error },
    );
  }
  if (/not (supported|implemented|configured)/.test(message)) {
    return unsupported(
      name,
      `its pixels are stored in a way that is not taken in (${tidy(message)})`,
      'Save it again as a plain TIFF with LZW or deflate compression, or as PNG',
    );
  }
  return damaged(name, `its pixels cannot be decoded (${tidy(message)})`, error);
}

/** The first line of a decoder's message, without the names of the decoder's own parts. */
function tidy(message: string): string {
  const line = message.trim().split('\n')[0];
  return (
    line.replace(/^(Input (file|buffer)[^:]*: ?|(tiff2vips|vipspng|VipsJpeg|source input): ?)+/, '') ||
    'no reason given'
  );
}
