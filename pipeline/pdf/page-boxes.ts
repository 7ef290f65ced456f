import { bleedBoxPx, type PrintSpec } from '../../config/print-spec.js';
import type { HalfSide } from '../../config/spread-halves.js';
import { halfPx, halfTrim } from '../../config/spread-halves.js';
import { mmPerInch, mmToPx, pxToMm, type SizePx } from '../../config/units.js';

/**
 * Where trim, bleed and picture lie on a page, in points. The picture is never stretched: its extent is its pixels at their
 * resolution, and its corner lies a whole number of its pixels from that of the page, so that a raster of the line's
 * resolution meets every pixel. Fractions of a millimetre are in the boxes alone.
 */

/** Points in an inch: ISO 32000-1 section 8.3.2.3. */
export const pointsPerInch = 72;

/** Left, bottom, right, top in points, from the lower left corner of the page. */
export type Box = readonly [number, number, number, number];

/** A page's boxes, and where its picture lies. */
export interface PageBoxes {
  readonly media: Box;
  readonly bleed: Box;
  readonly trim: Box;
  readonly picture: Box;
}

/** What decides where things lie on a page. */
export type BoxedSpec = Pick<PrintSpec, 'trim' | 'bleedMm' | 'foldBleedMm' | 'colourPpi' | 'linePpi'>;

/** Millimetres as points. */
export function mmToPoints(lengthMm: number): number {
  return (lengthMm / mmPerInch) * pointsPerInch;
}

/** Trim and bleed of what is delivered, in millimetres from the upper left corner of its picture. */
interface CutPage {
  readonly picture: SizePx;
  readonly leftMm: number;
  readonly topMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly bleedLeftMm: number;
  readonly bleedRightMm: number;
}

/**
 * The boxes of a page, or of one half of a spread: the trim in the middle of the whole picture, as everywhere else.
 * @param roomMm at least so much on all sides of the bleed, for marks; default none
 */
export function pageBoxes(spec: BoxedSpec, side?: HalfSide, roomMm = 0): PageBoxes {
  const { colourPpi: ppi, bleedMm } = spec;
  const cut = side === undefined ? wholePage(spec) : halfPage(spec, side);
  const { picture, leftMm, topMm, widthMm, heightMm, bleedLeftMm, bleedRightMm } = cut;
  const pictureWidthMm = pxToMm(picture.width, ppi);
  const pictureHeightMm = pxToMm(picture.height, ppi);
  // How far the bleed reaches past the picture, which is rounded to whole pixels.
  const overhangMm = Math.max(
    bleedLeftMm - leftMm,
    leftMm + widthMm + bleedRightMm - pictureWidthMm,
    bleedMm - topMm,
    topMm + heightMm + bleedMm - pictureHeightMm,
  );
  const marginPx = Math.max(0, Math.ceil(mmToPx(overhangMm + roomMm, ppi) - noisePx));
  const marginMm = pxToMm(marginPx, ppi);
  const box = (left: number, top: number, width: number, height: number): Box => {
    const bottom = 2 * marginMm + pictureHeightMm - marginMm - top - height;
    return [marginMm + left, bottom, marginMm + left + width, bottom + height].map(
      mmToPoints,
    ) as unknown as Box;
  };
  return {
    media: [0, 0, mmToPoints(pictureWidthMm + 2 * marginMm), mmToPoints(pictureHeightMm + 2 * marginMm)],
    bleed: box(
      leftMm - bleedLeftMm,
      topMm - bleedMm,
      widthMm + bleedLeftMm + bleedRightMm,
      heightMm + 2 * bleedMm,
    ),
    trim: box(leftMm, topMm, widthMm, heightMm),
    picture: box(0, 0, pictureWidthMm, pictureHeightMm),
  };
}

/** Longer than the noise of floating point, shorter than anything that is meant. */
const noisePx = 1e-6;

function wholePage(spec: BoxedSpec): CutPage {
  const { trim, bleedMm, colourPpi: ppi } = spec;
  const picture = bleedBoxPx(spec, ppi);
  return {
    picture,
    leftMm: (pxToMm(picture.width, ppi) - trim.widthMm) / 2,
    topMm: (pxToMm(picture.height, ppi) - trim.heightMm) / 2,
    ...trim,
    bleedLeftMm: bleedMm,
    bleedRightMm: bleedMm,
  };
}

function halfPage(spec: BoxedSpec, side: HalfSide): CutPage {
  const { bleedMm, foldBleedMm, colourPpi: ppi } = spec;
  const whole = wholePage(spec);
  const { left, width, height } = halfPx(spec, ppi, side);
  const isLeft = side === 'left';
  return {
    picture: { width, height },
    leftMm: isLeft ? whole.leftMm : pxToMm(whole.picture.width / 2 - left, ppi),
    topMm: whole.topMm,
    ...halfTrim(spec),
    bleedLeftMm: isLeft ? bleedMm : foldBleedMm,
    bleedRightMm: isLeft ? foldBleedMm : bleedMm,
  };
}
