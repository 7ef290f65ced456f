import { type HalfSide, halfSides } from '../../config/spread-halves.js';
import type { SizePx } from '../../config/units.js';
import type { PageRequest } from '../model/page-request.js';
import type { Bitmap } from '../model/raster.js';
import type { Separation } from '../model/separation.js';
import { halfBoxPx, splitLine, splitPlane, splitSeparation } from '../split.js';

/** The page that a press file is of, where it is not the page of the request: half of a spread. */
export interface HalfPage {
  /** Its page number. */
  readonly half: number;
  /** Start of its files' names. */
  readonly baseName: string;
}

/** A page as the printer gets it: the whole page, or half of a spread. */
export interface DeliveredPage {
  /** undefined for the whole. */
  readonly of: HalfPage | undefined;
  /** The side of the spread that it is; undefined for the whole. */
  readonly side: HalfSide | undefined;
  /** Its size where the whole has another. @param ppi of the colour or of the line */
  sizeOf(whole: SizePx, ppi: number): SizePx;
  /** Its part of the inks, of one ink, and of the line. */
  inksOf(whole: Separation): Separation;
  planeOf(plane: Uint8Array, whole: SizePx): Uint8Array;
  lineOf(whole: Bitmap): Bitmap;
}

const whole: DeliveredPage = {
  of: undefined,
  side: undefined,
  sizeOf: ({ width, height }) => ({ width, height }),
  inksOf: (inks) => inks,
  planeOf: (plane) => plane,
  lineOf: (line) => line,
};

/** The pages that are delivered of a page: itself, for a spread its two single pages, or all three. */
export function deliveredPages({
  page,
  halfNames,
}: Pick<PageRequest, 'page' | 'halfNames'>): readonly DeliveredPage[] {
  const { spec, numbers } = page;
  if (numbers.length !== 2 || halfNames === undefined || spec.spreads === 'whole') return [whole];
  const halves = halfSides.map((side, index): DeliveredPage => {
    const at = (ppi: number) => halfBoxPx(spec, ppi, side);
    return {
      of: { half: numbers[index], baseName: halfNames[index] },
      side,
      sizeOf: (_, ppi) => ({ width: at(ppi).width, height: at(ppi).height }),
      inksOf: (inks) => splitSeparation(inks, at(spec.colourPpi)),
      planeOf: (plane, size) => splitPlane(plane, size, at(spec.colourPpi)),
      lineOf: (line) => splitLine(line, at(spec.linePpi)),
    };
  });
  return spec.spreads === 'both' ? [whole, ...halves] : halves;
}
