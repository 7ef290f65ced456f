/** Millimetres in one inch, exact by definition (international yard and pound agreement of 1959). */
export const mmPerInch = 25.4;

/** The unit in which a job and the messages about it speak of lengths. */
export type LengthUnit = 'mm' | 'in';

/** A width and a height in millimetres. */
export interface SizeMm {
  /** Millimetres, above 0. */
  readonly widthMm: number;
  /** Millimetres, above 0. */
  readonly heightMm: number;
}

/** A width and a height in pixels. */
export interface SizePx {
  /** Whole pixels, 1 or more. */
  readonly width: number;
  /** Whole pixels, 1 or more. */
  readonly height: number;
}

/** A part of a picture in whole pixels. It may reach past the picture: there the picture's edge goes on. */
export interface PixelBox extends SizePx {
  readonly left: number;
  readonly top: number;
}

/** Converts a length given in the job's unit to millimetres. */
export function toMm(length: number, unit: LengthUnit): number {
  return unit === 'in' ? length * mmPerInch : length;
}

/** Converts millimetres to the job's unit. */
export function fromMm(lengthMm: number, unit: LengthUnit): number {
  return unit === 'in' ? lengthMm / mmPerInch : lengthMm;
}

/** Length in pixels, not rounded. */
export function mmToPx(lengthMm: number, ppi: number): number {
  return (lengthMm / mmPerInch) * ppi;
}

/** Pixels as a length in millimetres, not rounded. */
export function pxToMm(lengthPx: number, ppi: number): number {
  return (lengthPx / ppi) * mmPerInch;
}

/**
 * Pixels that cover a length: rounded outward, so that none of it is left out. A length that is whole but for the noise of
 * floating point stays whole. The sizes of pages are not made so: see bleedBoxPx.
 */
export function coverPx(lengthMm: number, ppi: number): number {
  return Math.ceil(mmToPx(lengthMm, ppi) - 1e-6);
}
