import type { Noticed } from '../model/findings.js';
import type { ColourModel, StatedPpi } from '../model/raster.js';
import type { FlatPicture } from '../model/working-page.js';

/** EXIF and TIFF 6.0 tag 274: 1 upright, 2 to 8 mirrored or turned, 5 to 8 with width and height exchanged. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** What the headers of a flat file say about its picture, before any pixel is decoded. */
export interface StoredPicture {
  readonly format: FlatPicture['format'];
  /** Size as stored, not yet turned upright. */
  readonly width: number;
  readonly height: number;
  readonly model: ColourModel;
  /** Bits per sample in the file; 8 where a palette stands between samples and colours. */
  readonly bits: number;
  /** Channels of a pixel once decoded, colours first: alpha and whatever else the file carries counted. */
  readonly channels: number;
  /** Index of the channel that is declared as alpha. */
  readonly alphaAt: number | undefined;
  readonly orientation: Orientation;
  readonly ppi: StatedPpi | undefined;
  /** The latest day that the header states, such as `2031-03-02`; undefined where it states none. */
  readonly statedDay: string | undefined;
  readonly profile: Uint8Array | undefined;
  readonly noticed: readonly Noticed[];
}

/** Values outside 1 to 8 mean nothing; such a picture counts as upright. */
export function asOrientation(value: number | undefined): Orientation {
  return value !== undefined && Number.isInteger(value) && value >= 1 && value <= 8
    ? (value as Orientation)
    : 1;
}

/** Whether turning the picture upright exchanges its width and height. */
export function exchangesAxes(orientation: Orientation): boolean {
  return orientation >= 5;
}

/**
 * No working page is stated at less than 30 ppi or more than 20000 ppi; such values are what programs write when they
 * know none (1 pixel per inch, or per millimetre: 25.4 ppi). Common practice, no published source.
 */
const plausiblePpi = { least: 30, most: 20000 } as const;

/** The stated resolution, or undefined where the values cannot be meant. */
export function plausible(x: number | undefined, y: number | undefined): StatedPpi | undefined {
  const fits = (ppi: number | undefined): ppi is number =>
    ppi !== undefined && ppi >= plausiblePpi.least && ppi <= plausiblePpi.most;
  return fits(x) && fits(y) ? { x, y } : undefined;
}

const turns: Readonly<Record<Orientation, string>> = {
  1: 'upright',
  2: 'mirrored left to right',
  3: 'turned by 180 degrees',
  4: 'mirrored top to bottom',
  5: 'mirrored along its falling diagonal',
  6: 'turned clockwise by 90 degrees',
  7: 'mirrored along its rising diagonal',
  8: 'turned counter-clockwise by 90 degrees',
};

/** A picture that was turned as its file asks. */
export function noticeTurned(orientation: Orientation): Noticed {
  return {
    code: 'picture-turned',
    severity: 'note',
    message: `The file asks to be ${turns[orientation]} (orientation ${orientation}); that was done`,
    source: 'TIFF 6.0 and EXIF, tag 274',
    remedy: 'Look at the proof; if the page lies wrong, save it upright',
  };
}
