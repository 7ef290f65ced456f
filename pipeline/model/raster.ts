/** Pixels as plain data. Stages take and return these; none of them knows where the pixels came from. */

export type ColourModel = 'grey' | 'rgb' | 'cmyk';

/** Ink or colour channels of each model, alpha not counted. */
export const colourChannels = { grey: 1, rgb: 3, cmyk: 4 } as const;

/**
 * One picture: width x height x channels samples, interleaved, row by row from the top left.
 * 8 bit samples run from 0 to 255, 16 bit samples from 0 to 65535. For grey and rgb, 0 is black; for cmyk, 0 is no ink.
 */
export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly model: ColourModel;
  /** Whether one more channel follows the colour: straight (not premultiplied) alpha, 0 transparent. */
  readonly alpha: boolean;
  /** Uint8Array is 8 bit, Uint16Array is 16 bit. */
  readonly data: Uint8Array | Uint16Array;
}

/**
 * A picture of 8 bit, grey or rgb, in pieces of 32 x 32 pixels, of which those that show nothing are left out: transparent ones,
 * or white paper in a picture without alpha. Nine tenths of a page of lettering are such.
 */
export interface RasterInPieces extends Omit<Raster, 'data'> {
  /** Row by row, each of its full size, also where it reaches past the picture. */
  readonly pieces: readonly (Uint8Array | undefined)[];
}

/** Samples per pixel, alpha included. */
export function channelsOf(raster: Pick<Raster, 'model' | 'alpha'>): number {
  return colourChannels[raster.model] + (raster.alpha ? 1 : 0);
}

/** Bytes as samples of 8 or 16 bit, copied only where they begin at an odd place in memory. */
export function samplesFrom(bytes: Uint8Array, bits: 8 | 16): Uint8Array | Uint16Array {
  if (bits === 8) return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.length);
  const aligned = bytes.byteOffset % 2 === 0 ? bytes : Uint8Array.from(bytes);
  return new Uint16Array(aligned.buffer, aligned.byteOffset, aligned.length / 2);
}

/** The largest sample value of a raster. */
export function maxOf(raster: Pick<Raster, 'data'>): 255 | 65535 {
  return raster.data instanceof Uint8Array ? 255 : 65535;
}

/** Some pixels of a picture, by index, as a picture of one row. */
export function gathered(raster: Raster, pixels: Int32Array): Raster {
  const channels = channelsOf(raster);
  const length = pixels.length * channels;
  const data = raster.data instanceof Uint8Array ? new Uint8Array(length) : new Uint16Array(length);
  const { data: all } = raster;
  for (let n = 0, to = 0; n < pixels.length; n++) {
    const from = pixels[n] * channels;
    for (let at = from; at < from + channels; at++) data[to++] = all[at];
  }
  return { ...raster, width: pixels.length, height: 1, data };
}

/** One printing ink's image: width x height x 1 samples of 8 bit, 0 no ink, 255 full ink. */
export interface Plate {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/**
 * The line plate, which is ink or paper and nothing between, or a mask: width x height x 1 bit, 1 is ink or set. The first
 * pixel of a byte is its lowest bit, a row begins at a whole word of 64 bits, and nothing is set beyond the width.
 */
export interface Bitmap {
  readonly width: number;
  readonly height: number;
  /** Bytes from one row to the next. */
  readonly rowBytes: number;
  /** height x rowBytes. */
  readonly bits: Uint8Array;
}

/** Resolution as a file states it, in pixels per inch along each axis. */
export interface StatedPpi {
  readonly x: number;
  readonly y: number;
}

/** Whether the bit of a pixel is set; the pixel has to be within the bitmap. */
export function isSet({ rowBytes, bits }: Bitmap, x: number, y: number): boolean {
  return (bits[y * rowBytes + (x >> 3)] & (1 << (x & 7))) !== 0;
}
