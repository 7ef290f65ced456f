import type { SizePx } from '../../config/units.js';
import { pdfName, pdfNumbers } from './notation.js';
import { type Box, pointsPerInch } from './page-boxes.js';

/** What lies over a page's picture, one ink each: line, and inks beside the process inks. */

/** A layer of 1 bit in one ink, packed with CCITT Group 4 in one piece, ink as black. */
export interface InkLayer {
  /** The ink's name as the printer's plates have it, such as `Black`. */
  readonly ink: string;
  /** What stands for the ink on a screen: cyan, magenta, yellow and black, 0 to 1. */
  readonly shownAs: readonly [number, number, number, number];
  readonly size: SizePx;
  readonly ppi: number;
  readonly packed: Uint8Array;
}

/** A layer of 8 bit in one ink, 255 full ink, packed as a `PackedPicture` of one channel. */
export interface InkPicture extends Omit<InkLayer, 'packed'> {
  /** A zlib stream, in pieces. */
  readonly pieces: readonly Uint8Array[];
}

/** The line plate's ink: what is painted with it goes onto the plate of the process black. */
export const blackInk = { ink: 'Black', shownAs: [0, 0, 0, 1] } as const;

/** The colour space of one ink: its plate where there is one, else what stands for it (ISO 32000-1 section 8.6.6.4). */
export function separation(ink: string, shownAs: readonly number[]): string {
  const tint = `<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 ${pdfNumbers(shownAs)} /N 1 >>`;
  return `[/Separation ${pdfName(ink)} /DeviceCMYK ${tint}]`;
}

/** A layer at its own resolution, in the middle of the picture: where its pixels divide those of the picture, the same box. */
export function layerBox(
  { size, ppi }: Pick<InkLayer, 'size' | 'ppi'>,
  [left, bottom, right, top]: Box,
): Box {
  const width = (size.width * pointsPerInch) / ppi;
  const height = (size.height * pointsPerInch) / ppi;
  const fromLeft = left + (right - left - width) / 2;
  const fromBottom = bottom + (top - bottom - height) / 2;
  return [fromLeft, fromBottom, fromLeft + width, fromBottom + height];
}
