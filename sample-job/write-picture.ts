import sharp, { type Sharp } from 'sharp';
import { mmPerInch } from '../config/units.js';
import { rgbOf } from './ink/colour.js';
import { linePicture, mixColour } from './ink/compose.js';
import type { Sheet } from './ink/sheet.js';
import { srgbProfile, tagTiff } from './tag-tiff.js';

/** A picture in memory, rows from the top; 8 bit unless `data` is a Uint16Array. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 3 | 4;
  readonly data: Uint8Array | Uint16Array;
}

/** Hands a picture to sharp without copying its pixels. */
export function toSharp({ width, height, channels, data }: Picture): Sharp {
  return sharp(data, { raw: { width, height, channels }, limitInputPixels: false });
}

/** Ten bits: four times as fine as 8 bit, and the file stays half of what all sixteen would make of it. */
const fineSteps = 0xffc0;

/** The painted page without line or lettering, the white of the balloons left open. 8 or 16 bit RGB. */
export function colourPicture(sheet: Sheet, bits: 8 | 16): Picture {
  const { width, height } = sheet.grid;
  const mixing = { shadow: true, glow: true, sparks: true, rims: true, letters: true, inks: false };
  const data = mixColour(sheet, mixing, bits);
  if (bits === 16) for (let i = 0; i < data.length; i++) if (data[i] !== 0xffff) data[i] &= fineSteps;
  return { width, height, channels: 3, data };
}

/** The flats alone, each in its one colour: 8-bit RGB. */
export function flatsPicture({ grid: { width, height }, flats }: Sheet): Picture {
  const data = new Uint8Array(width * height * 3);
  for (const [i, colour] of flats.entries()) {
    data[i * 3] = colour >> 16;
    data[i * 3 + 1] = (colour >> 8) & 255;
    data[i * 3 + 2] = colour & 255;
  }
  return { width, height, channels: 3, data };
}

/** Everything in one picture, as a page comes that was flattened by its painter. */
export function flatPicture(sheet: Sheet): Picture {
  const { width, height } = sheet.grid;
  const mixing = { shadow: true, glow: true, sparks: true, rims: true, letters: true, inks: true };
  return { width, height, channels: 3, data: mixColour(sheet, mixing, 8) };
}

/** Everything in one picture, in grey as eyes weigh colours (ITU-R BT.709), as a page comes that was washed in grey. */
export function greyPicture(sheet: Sheet): Picture {
  const { width, height, data } = flatPicture(sheet);
  const grey = new Uint8Array(width * height);
  for (let at = 0; at < grey.length; at++) {
    const [r, g, b] = [data[at * 3], data[at * 3 + 1], data[at * 3 + 2]];
    grey[at] = Math.round(0.2126 * r + 0.7152 * g + 0.0722 * b);
  }
  return { width, height, channels: 1, data: grey };
}

/** Balloons and letters on nothing: RGB with straight alpha. */
export function letteringPicture(sheet: Sheet): Picture {
  const { width, height } = sheet.grid;
  const data = new Uint8Array(width * height * 4);
  const words = new Uint32Array(data.buffer);
  const colours = sheet.letterColours.map((hex) => {
    const [r, g, b] = rgbOf(hex);
    return new Uint32Array(Uint8Array.of(r, g, b, 255).buffer)[0];
  });
  for (let at = 0; at < words.length; at++) {
    const index = sheet.letters[at];
    if (index > 0) words[at] = colours[index - 1];
  }
  return { width, height, channels: 4, data };
}

/** TIFF, LZW, RGB of 8 or 16 bit, sRGB embedded, resolution stated; the pixels exactly as given. */
export async function writeColourTiff(path: string, picture: Picture, ppi: number): Promise<void> {
  const pixelsPerMm = ppi / mmPerInch;
  await toSharp(picture)
    .toColourspace(picture.data instanceof Uint16Array ? 'rgb16' : 'srgb')
    .tiff({
      compression: 'lzw',
      predictor: 'horizontal',
      xres: pixelsPerMm,
      yres: pixelsPerMm,
      resolutionUnit: 'inch',
    })
    .toFile(path);
  await tagTiff(path, await srgbProfile());
}

/** TIFF of 1 bit, CCITT group 4, with the lettering burnt in if asked for. */
export async function writeLineTiff(
  path: string,
  sheet: Sheet,
  ppi: number,
  lettered: boolean,
): Promise<void> {
  const { width, height } = sheet.grid;
  await writeBits(path, { width, height, channels: 1, data: linePicture(sheet, lettered) }, ppi);
}

/** The plate of a gloss varnish over the letters, as a TIFF of 1 bit: black is varnish. */
export async function writeVarnishTiff(path: string, sheet: Sheet, ppi: number): Promise<void> {
  const { width, height } = sheet.grid;
  const data = Uint8Array.from(sheet.letters, (letter) => (letter > 0 ? 0 : 255));
  await writeBits(path, { width, height, channels: 1, data }, ppi);
}

async function writeBits(path: string, picture: Picture, ppi: number): Promise<void> {
  const pixelsPerMm = ppi / mmPerInch;
  await toSharp(picture)
    .toColourspace('b-w')
    .tiff({
      compression: 'ccittfax4',
      bitdepth: 1,
      miniswhite: true,
      xres: pixelsPerMm,
      yres: pixelsPerMm,
      resolutionUnit: 'inch',
    })
    .toFile(path);
}

/** PNG, with alpha where the picture has it. */
export async function writePng(path: string, picture: Picture, ppi: number): Promise<void> {
  await toSharp(picture).withDensity(ppi).withIccProfile('srgb').png(pngOptions).toFile(path);
}

/** PNG of one channel; grey without a profile is what most programs write. */
export async function writeGreyPng(path: string, picture: Picture, ppi: number): Promise<void> {
  await toSharp(picture).toColourspace('b-w').withDensity(ppi).png(pngOptions).toFile(path);
}

/** JPEG of the best quality, sRGB embedded. */
export async function writeJpeg(path: string, picture: Picture, ppi: number): Promise<void> {
  await toSharp(picture)
    .withDensity(ppi)
    .withIccProfile('srgb')
    .jpeg({ quality: 95, chromaSubsampling: '4:4:4' })
    .toFile(path);
}

/** Fast rather than small: the pages are drawn while somebody waits. */
export const pngOptions = { compressionLevel: 2, adaptiveFiltering: false } as const;
