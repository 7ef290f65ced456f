import type { Noticed } from './findings.js';
import type { Bitmap, Raster, RasterInPieces, StatedPpi } from './raster.js';

/** What `read` makes of one file of incoming/. */
export type WorkingPicture = FlatPicture | LayeredPicture;

interface PictureFacts {
  readonly width: number;
  readonly height: number;
  /** Resolution stated in the file; undefined where it states none. */
  readonly ppi: StatedPpi | undefined;
  /** The latest day that the file itself states, such as `2031-03-02`; nothing where it states none. */
  readonly statedDay?: string | undefined;
  /** Embedded ICC profile, byte for byte; undefined where the file is untagged. */
  readonly profile: Uint8Array | undefined;
  /** What reading it brought to light. */
  readonly noticed: readonly Noticed[];
}

/** A TIFF, PNG or JPEG: one picture, turned upright. */
export interface FlatPicture extends PictureFacts {
  readonly kind: 'flat';
  readonly format: 'tiff' | 'png' | 'jpeg';
  /**
   * Bits per sample in the file: 1, 8 or 16, seldom 2 or 4; 8 for a palette. A 1-bit file arrives as grey 0 and 255,
   * one of 2 or 4 bits spread evenly over 0 to 255.
   */
  readonly bitsPerSample: number;
  /** width x height, or the print size that was asked for while decoding: see `isFitted`. */
  readonly raster: Raster;
  /** The raster was brought to its print size on the way; width and height still tell the size in the file. */
  readonly isFitted?: boolean;
}

/** Line art of 1 bit of which only the ink is wanted: bits instead of samples, an eighth of the memory. */
export interface InkPicture extends PictureFacts {
  readonly kind: 'ink';
  readonly format: FlatPicture['format'];
  readonly ink: Bitmap;
}

/** An OpenRaster file: a tree of layers whose pixels are decoded when asked for, one layer at a time. */
export interface LayeredPicture extends PictureFacts {
  readonly kind: 'layered';
  readonly format: 'openraster';
  readonly root: LayerGroup;
  /** Says that no layer will be decoded any more: where its file stands, something else may. */
  readonly giveUp?: () => void;
}

/** Blend modes of W3C Compositing and Blending Level 1 and of OpenRaster, by their OpenRaster names less `svg:`. */
export const blendModes = [
  'src-over',
  'multiply',
  'screen',
  'overlay',
  'darken',
  'lighten',
  'color-dodge',
  'color-burn',
  'hard-light',
  'soft-light',
  'difference',
  'exclusion',
  'hue',
  'saturation',
  'color',
  'luminosity',
  'plus',
  'dst-in',
  'dst-out',
  'src-atop',
  'dst-atop',
] as const;
export type BlendMode = (typeof blendModes)[number];

interface StackEntry {
  readonly name: string;
  /** 0 to 1. */
  readonly opacity: number;
  readonly visible: boolean;
  readonly blend: BlendMode;
}

export interface LayerGroup extends StackEntry {
  readonly kind: 'group';
  /** Composited by itself first, then as one picture onto what is below. */
  readonly isolated: boolean;
  /** The first child is the topmost. */
  readonly children: readonly (LayerGroup | Layer)[];
}

export interface Layer extends StackEntry {
  readonly kind: 'layer';
  /** Place of its top left corner on the page, in pixels; may be negative. */
  readonly x: number;
  readonly y: number;
  /** Decodes its pixels: grey or rgb, with straight alpha where not all of it is opaque, 8 or 16 bit. */
  readonly pixels: () => Promise<Raster>;
  /** The same without what shows nothing, where it is held so; asked for instead of `pixels`. */
  readonly pieces?: () => Promise<RasterInPieces>;
  /** The same row by row, where its file can be decoded so; asked for instead of `pixels`. undefined where it turns out that it cannot. */
  readonly rows?: () => Promise<LayerRows | undefined>;
}

/** A layer of 8 bit that is decoded row by row, from the top. */
export interface LayerRows extends Pick<Raster, 'width' | 'height' | 'alpha'> {
  readonly model: 'grey' | 'rgb';
  /**
   * Decodes the rows that come next.
   * @param into receives rows x width x channels samples
   * @throws PlatehandError `picture-unreadable`
   */
  next(rows: number, into: Uint8Array): Promise<void>;
  /**
   * Makes sure that whatever is left of it is whole.
   * @throws PlatehandError `picture-unreadable`
   */
  end(): Promise<void>;
  /** Gives it up. */
  close(): void;
}
