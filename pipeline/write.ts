import { createHash } from 'node:crypto';
import type { OutputInfo, Sharp } from 'sharp';
import type { SizePx } from '../config/units.js';
import { writeWhole } from './files/atomic.js';
import { packG4 } from './files/fax-g4.js';
import { type TiffLayout, tiffCompression, tiffFile, tiffPhotometric } from './files/tiff-file.js';
import { PackedStrips, type Planes } from './files/tiff-strips.js';
import type { PageArena } from './kernels/page-arena.js';
import { inverted } from './kernels/samples.js';
import { type Bitmap, channelsOf, type Plate, type Raster } from './model/raster.js';
import { processPlanes, type Separation } from './model/separation.js';

/**
 * Encodes finished pixels as files: press TIFFs, plates, proofs. Nothing here changes a pixel of a press file or plate,
 * and nothing writes a date or a program name, so that the same pixels give the same bytes on every run.
 * A file of strips comes in pieces, which are never joined.
 */

/**
 * JPEG quality of pictures for people: above this, files grow quickly and nobody sees more (common practice, no
 * published source). Colour is kept at full resolution (4:4:4), because red lettering on blue frays otherwise.
 */
const jpegQuality = 90;

/**
 * Compression of PNG pictures. A proof of 1239 x 1908 pixels (CPU / size): level 2 43 ms / 1.73 MB, level 4 51 / 1.60,
 * level 6, the usual one, 68 / 1.57.
 */
const pngLevel = 4;

/**
 * The composite of the process inks: a CMYK TIFF of width x height x 4, 8 bit, 0 no ink, 255 full ink, with the output profile embedded
 * byte for byte. Separated (262 = 5) with exactly four samples and InkSet 1: TIFF 6.0, section 16. Deflate with
 * horizontal differencing; the pixels are exact.
 * @param options.ppi pixels per inch of the separation
 * @param options.profile ICC profile of the press condition
 * @param arena where strips are made ready
 */
export async function encodeComposite(
  separation: Separation,
  options: { readonly ppi: number; readonly profile: Uint8Array },
  arena: PageArena,
): Promise<Uint8Array[]> {
  return encodePackedComposite(compositeStrips(separation, arena), options);
}

/** The process inks of a page as strips that are packed when they are asked for: several files may hold them. */
export function compositeStrips(separation: Separation, arena: PageArena): PackedStrips {
  const { width, height } = separation;
  return stripsOf({ width, height, planes: processPlanes(separation) }, arena);
}

/** The composite from strips that others may use as well; otherwise as `encodeComposite`. */
export function encodePackedComposite(
  strips: PackedStrips,
  options: { readonly ppi: number; readonly profile: Uint8Array },
): Promise<Uint8Array[]> {
  return deflated(strips, tiffPhotometric.separated, options.ppi, options.profile);
}

/** The black of a page as grey, 0 solid ink, in strips that are packed when they are asked for: several files may hold them. */
export function blackStrips(separation: Separation, arena: PageArena): PackedStrips {
  const { width, height } = separation;
  const [, , , black] = processPlanes(separation);
  return stripsOf({ width, height, planes: [inverted(black, arena)] }, arena);
}

/**
 * The composite of a page in black alone: a grey TIFF of width x height x 1, 8 bit, in which 0 is solid black ink and 255 paper
 * (BlackIsZero, 262 = 1), as programs that place pictures write and read grey: a full sample is white. The other way round stand
 * plates, whose numbers are ink. No profile is embedded: a grey TIFF cannot have one for CMYK, and the numbers are those of
 * the black plate.
 * @param strips as `blackStrips` makes them
 * @param options.ppi pixels per inch of the separation
 */
export function encodePackedBlackComposite(
  strips: PackedStrips,
  options: { readonly ppi: number },
): Promise<Uint8Array[]> {
  return deflated(strips, tiffPhotometric.blackIsZero, options.ppi, undefined);
}

/**
 * One ink as a single-channel TIFF of width x height x 1, 8 bit. The stored numbers are ink, 0 none and 255 full, and
 * the file says so by WhiteIsZero (262 = 0), so that viewers show ink dark.
 * @param options.ppi pixels per inch of the plate
 * @param arena where strips are made ready
 */
export async function encodePlate(
  plate: Plate,
  options: { readonly ppi: number },
  arena: PageArena,
): Promise<Uint8Array[]> {
  const strips = plateStrips(plate, arena);
  return deflated(strips, tiffPhotometric.whiteIsZero, options.ppi, undefined);
}

/** The strips of one ink, each packed when it is asked for. */
export function plateStrips({ width, height, data }: Plate, arena: PageArena): PackedStrips {
  return stripsOf({ width, height, planes: [data] }, arena);
}

/**
 * The line plate as a 1-bit TIFF packed with CCITT Group 4 (T.6): bit 1 is ink, and the file says so by WhiteIsZero
 * (262 = 0), the normal sense of CCITT data (TIFF 6.0, pages 17 and 37).
 * @param options.ppi pixels per inch of the line plate
 */
export async function encodeLinePlate(
  plate: Bitmap,
  options: { readonly ppi: number },
): Promise<Uint8Array[]> {
  return encodePackedLine({ size: plate, packed: packG4(plate) }, options);
}

/** The line plate from what `packG4` made of it; otherwise as `encodeLinePlate`. */
export function encodePackedLine(
  { size: { width, height }, packed }: { readonly size: SizePx; readonly packed: Uint8Array },
  options: { readonly ppi: number },
): Uint8Array[] {
  const layout: TiffLayout = {
    width,
    height,
    samples: 1,
    bitsPerSample: 1,
    compression: tiffCompression.group4,
    photometric: tiffPhotometric.whiteIsZero,
    differenced: false,
    rowsPerStrip: height,
    ppi: options.ppi,
    profile: undefined,
  };
  return tiffFile(layout, [packed]);
}

function stripsOf(picture: Planes, arena: PageArena): PackedStrips {
  for (const plane of picture.planes) expectSamples(plane, picture.width * picture.height);
  return new PackedStrips(picture, arena);
}

async function deflated(
  strips: PackedStrips,
  photometric: TiffLayout['photometric'],
  ppi: number,
  profile: Uint8Array | undefined,
): Promise<Uint8Array[]> {
  const { width, height, planes } = strips.picture;
  const layout: TiffLayout = {
    width,
    height,
    samples: planes.length,
    bitsPerSample: 8,
    compression: tiffCompression.deflate,
    photometric,
    differenced: true,
    rowsPerStrip: strips.rows,
    ppi,
    profile,
  };
  return tiffFile(layout, await strips.all());
}

/**
 * A picture for people, tagged as sRGB: PNG without loss, or JPEG at quality 90 with colour at full resolution.
 * @param raster rgb, 8 bit, without alpha
 * @param options.ppi pixels per inch stated in the file
 */
export async function encodePicture(
  raster: Raster,
  options: { readonly ppi: number; readonly format: 'png' | 'jpeg' },
): Promise<Buffer> {
  const { width, height, data } = raster;
  if (raster.model !== 'rgb' || raster.alpha || !(data instanceof Uint8Array)) {
    throw new Error('a picture for people is rgb of 8 bit without alpha');
  }
  expectSamples(data, width * height * channelsOf(raster));
  const { default: sharp } = await import('sharp');
  const picture = sharp(data, { raw: { width, height, channels: 3 }, limitInputPixels: false })
    .withIccProfile('srgb')
    .withDensity(options.ppi);
  if (options.format === 'png') return encoded(picture.png({ compressionLevel: pngLevel }));
  return encoded(picture.jpeg({ quality: jpegQuality, chromaSubsampling: '4:4:4' }));
}

/** The library only warns where it could not do as told, and then writes something else: that is a failure here. */
async function encoded(picture: Sharp): Promise<Buffer> {
  const warnings: string[] = [];
  picture.on('warning', (warning: string) => warnings.push(warning));
  const { data }: { data: Buffer; info: OutputInfo } = await picture.toBuffer({ resolveWithObject: true });
  if (warnings.length > 0) throw new Error(`the image library warned while encoding: ${warnings.join('; ')}`);
  return data;
}

/**
 * Puts an encoded file into place under its name, whole or not at all.
 * @param pieces the file, as the functions above encode it
 * @returns its length, and its SHA-256 in lower case hexadecimal
 * @throws PlatehandError `write-failed`
 */
export async function writeOutput(
  path: string,
  pieces: readonly Uint8Array[],
): Promise<{ readonly bytes: number; readonly sha256: string }> {
  await writeWhole(path, pieces);
  const hash = createHash('sha256');
  let bytes = 0;
  for (const piece of pieces) {
    hash.update(piece);
    bytes += piece.length;
  }
  return { bytes, sha256: hash.digest('hex') };
}

/** A wrong length is a fault of the calling stage, never of the working page. */
function expectSamples(data: Uint8Array | Uint16Array, samples: number): void {
  if (data.length !== samples) throw new Error(`expected ${samples} samples but received ${data.length}`);
}
