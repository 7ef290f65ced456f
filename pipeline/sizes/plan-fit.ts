import { bleedBox, bleedBoxPx, type PageBox } from '../../config/print-spec.js';
import {
  type LengthUnit,
  mmPerInch,
  mmToPx,
  type PixelBox,
  pxToMm,
  type SizeMm,
  type SizePx,
} from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { StatedPpi } from '../model/raster.js';
import { bleedMissing, bleedUnsure, noticeCropped, wrongShape } from './size-findings.js';

/**
 * How far a working page may miss the shape of trim plus bleed, over its whole width or height. What is too much is
 * cropped evenly; a page is never stretched. Half a millimetre is a sixth of the usual 3 mm bleed and five times the
 * register tolerance of sheet-fed offset (0.1 mm): common practice, no published source.
 */
const shapeToleranceMm = 0.5;

/**
 * How much larger than trim plus bleed a picture may be, over its whole width and over its whole height apart, to be a page
 * that was cut out by hand: 2 mm a side. The sizes of books that are mistaken for each other are further apart (B5 of ISO
 * 216 is 176 x 250 mm, that of JIS P 0138 is 182 x 257 mm). Our own choice.
 */
const handCutMm = 4;

/** How much larger a picture at the print spec's own resolution may be all around: 10 mm a side, for marks. Our own choice. */
const evenMarginMm = 20;

/** How many pixels a picture may be off to count as exact: sizes are rounded up, down and to the nearest. */
const exactPx = 1;

/** A resolution counts as reached when it is missed by no more than this share: the rounding of sizes to whole pixels. */
export const ppiTolerance = 0.005;

/** Longer than the noise of floating point, shorter than anything that is meant. */
const noise = 1e-6;

/** Where trim plus bleed lies in a working picture. */
export interface FitPlan {
  /**
   * Trim plus bleed in the picture's own pixels. It may reach past the picture by the few pixels that the picture is short:
   * there its edge is repeated.
   */
  readonly crop: PixelBox;
  /** Pixels per inch that the picture has at print size. */
  readonly effectivePpi: number;
}

export interface FitOutcome {
  /** undefined when the picture cannot be brought to the size of the page; the reason is among what was noticed. */
  readonly plan: FitPlan | undefined;
  readonly noticed: readonly Noticed[];
}

/** Of a picture, what its place on the page is told from. */
export type SizedPicture = SizePx & { readonly ppi: StatedPpi | undefined };

/**
 * Finds trim plus bleed in a working picture. A picture within a pixel of the size that is printed is taken as exact, whatever
 * it states. Where the resolution that it states makes it a little larger than the page, it is cropped by its centre. Else its
 * pixel shape decides, since stated resolutions are often wrong.
 */
export function planFit(picture: SizedPicture, spec: PageBox, unit: LengthUnit): FitOutcome {
  const exact = printedSize(picture, spec, () => exactPx);
  if (exact !== undefined) return { plan: exact, noticed: [] };
  const near = (ppi: number) => mmToPx(shapeToleranceMm, ppi);
  const larger = largerAsStated(picture, spec) ?? printedSize(picture, spec, near);
  if (larger !== undefined) {
    return { plan: larger, noticed: noticeCropped(picture, spec, larger.effectivePpi, unit) };
  }
  return byShape(picture, spec, unit);
}

/** The same plan with trim plus bleed elsewhere than in the middle, as where registration has found it. */
export function movedTo(plan: FitPlan, { left, top }: Pick<PixelBox, 'left' | 'top'>): FitPlan {
  return { ...plan, crop: { ...plan.crop, left, top } };
}

/**
 * The plan of a picture beside another of the same page. Two pictures of one canvas, each rounded to its own whole pixels, are
 * cut at one place, not each by its own centre; others keep their plan.
 */
export function planBeside(
  picture: SizePx,
  plan: FitPlan,
  other: { readonly picture: SizePx; readonly plan: FitPlan },
): FitPlan {
  const ratio = plan.effectivePpi / other.plan.effectivePpi;
  const isOneCanvas =
    Math.abs(picture.width - other.picture.width * ratio) < 1 &&
    Math.abs(picture.height - other.picture.height * ratio) < 1;
  if (!isOneCanvas) return plan;
  const { left, top } = other.plan.crop;
  return movedTo(plan, { left: Math.round(left * ratio), top: Math.round(top * ratio) });
}

/** Pixels per inch that a picture has at print size; where its shape does not fit, as if its width were that of the page. */
export function printPpi(picture: SizedPicture, spec: PageBox): number {
  const { plan } = planFit(picture, spec, 'mm');
  return plan?.effectivePpi ?? (picture.width * mmPerInch) / bleedBox(spec).widthMm;
}

/** A picture of the colour's size or of the line's, too large by no more than a limit and too small by no more than a pixel. */
function printedSize(picture: SizePx, spec: PageBox, mostPx: (ppi: number) => number): FitPlan | undefined {
  for (const ppi of [spec.colourPpi, spec.linePpi]) {
    const over = surplusPx(picture, spec, ppi);
    if (over !== undefined && Math.max(...over) <= mostPx(ppi) + noise) return cutAt(picture, spec, ppi);
  }
  return undefined;
}

/**
 * A picture that is larger than the page at the resolution that it states: by what is cut off by hand, or all around by as much
 * as marks take, if that resolution is one of the print spec's.
 */
function largerAsStated(picture: SizedPicture, spec: PageBox): FitPlan | undefined {
  const { ppi: stated } = picture;
  if (stated === undefined || !isSquare(stated)) return undefined;
  const printed = [spec.colourPpi, spec.linePpi].find(
    (ppi) => Math.abs(stated.x - ppi) <= ppi * ppiTolerance,
  );
  const ppi = printed ?? stated.x;
  const over = surplusPx(picture, spec, ppi);
  if (over === undefined) return undefined;
  const [across, down] = over.map((px) => pxToMm(px, ppi));
  const isEven = printed !== undefined && Math.abs(across - down) <= 2 * shapeToleranceMm;
  const mostMm = isEven ? evenMarginMm : handCutMm;
  return Math.max(across, down) <= mostMm + noise ? cutAt(picture, spec, ppi) : undefined;
}

function isSquare({ x, y }: StatedPpi): boolean {
  return Math.abs(x - y) <= x * ppiTolerance;
}

/**
 * Pixels by which a picture is wider and higher than trim plus bleed at a resolution; negative where it is smaller. Sizes
 * between what is printed and the unrounded length are none of both.
 * @returns undefined where it is smaller by more than rounding
 */
function surplusPx(picture: SizePx, spec: PageBox, ppi: number): readonly number[] | undefined {
  const box = bleedBox(spec);
  const printed = bleedBoxPx(spec, ppi);
  const over = [
    beyond(picture.width, printed.width, mmToPx(box.widthMm, ppi)),
    beyond(picture.height, printed.height, mmToPx(box.heightMm, ppi)),
  ];
  return Math.min(...over) >= -exactPx - noise ? over : undefined;
}

/** How far a length lies beyond two others, or short of them (negative); 0 between them. */
function beyond(length: number, one: number, other: number): number {
  return Math.max(0, length - Math.max(one, other)) + Math.min(0, length - Math.min(one, other));
}

/** Trim plus bleed in the middle of a picture that is printed at a resolution, or would be reduced from it. */
function cutAt(picture: SizePx, spec: PageBox, ppi: number): FitPlan {
  const { width, height } = bleedBoxPx(spec, ppi);
  const left = wholeHalf(picture.width - width);
  const top = wholeHalf(picture.height - height);
  return { crop: { left, top, width, height }, effectivePpi: ppi };
}

/** Half of a number of pixels, rounded towards zero: a single one too many or too few is at the right or at the bottom. */
function wholeHalf(px: number): number {
  return Math.sign(px) * Math.floor(Math.abs(px) / 2) || 0;
}

/** The resolution that the file states is asked only where the shape alone does not fit. */
function byShape(picture: SizedPicture, spec: PageBox, unit: LengthUnit): FitOutcome {
  const box = bleedBox(spec);
  const whole = coverBox(picture, box);
  const isTrim = spec.bleedMm > 0 && coverBox(picture, spec.trim) !== undefined;
  if (whole !== undefined && !isTrim) return { plan: whole, noticed: [] };
  if (whole !== undefined) return asStated(picture, whole, spec, unit);
  if (isTrim) return { plan: undefined, noticed: [bleedMissing(picture, spec, unit)] };
  const larger = cropToBox(picture, box);
  if (larger !== undefined) {
    return { plan: larger, noticed: noticeCropped(picture, spec, larger.effectivePpi, unit) };
  }
  const lyingDown = coverBox({ width: picture.height, height: picture.width }, box) !== undefined;
  return { plan: undefined, noticed: [wrongShape(picture, box, lyingDown, unit)] };
}

/** Nearly square pages have one shape with and without bleed: the resolution that the file states tells which it is. */
function asStated(picture: SizedPicture, plan: FitPlan, spec: PageBox, unit: LengthUnit): FitOutcome {
  if (hasSize(picture, bleedBox(spec))) return { plan, noticed: [] };
  if (hasSize(picture, spec.trim)) return { plan: undefined, noticed: [bleedMissing(picture, spec, unit)] };
  return { plan, noticed: [bleedUnsure(picture, spec, unit)] };
}

function hasSize({ width, height, ppi }: SizedPicture, box: SizeMm): boolean {
  if (ppi === undefined) return false;
  const missesMm = [pxToMm(width, ppi.x) - box.widthMm, pxToMm(height, ppi.y) - box.heightMm];
  return missesMm.every((miss) => Math.abs(miss) <= shapeToleranceMm);
}

/** The uniform scale at which the picture covers the box, if what sticks out then is within tolerance. */
function coverBox(picture: SizePx, box: SizeMm): FitPlan | undefined {
  const mmPerPx = Math.max(box.widthMm / picture.width, box.heightMm / picture.height);
  const overWidthMm = picture.width * mmPerPx - box.widthMm;
  const overHeightMm = picture.height * mmPerPx - box.heightMm;
  if (overWidthMm > shapeToleranceMm || overHeightMm > shapeToleranceMm) return undefined;
  return { crop: centred(picture, box, mmPerPx), effectivePpi: mmPerInch / mmPerPx };
}

/** A picture that states its resolution and shows the page with the same extra margin on all four sides. */
function cropToBox(picture: SizedPicture, box: SizeMm): FitPlan | undefined {
  const { ppi } = picture;
  if (ppi === undefined || !isSquare(ppi)) return undefined;
  const extraWidthMm = pxToMm(picture.width, ppi.x) - box.widthMm;
  const extraHeightMm = pxToMm(picture.height, ppi.y) - box.heightMm;
  const evenly = Math.abs(extraWidthMm - extraHeightMm) <= 2 * shapeToleranceMm;
  if (extraWidthMm < -shapeToleranceMm || extraHeightMm < -shapeToleranceMm || !evenly) return undefined;
  return { crop: centred(picture, box, mmPerInch / ppi.x), effectivePpi: ppi.x };
}

function centred(picture: SizePx, box: SizeMm, mmPerPx: number): PixelBox {
  const width = Math.min(picture.width, Math.round(box.widthMm / mmPerPx));
  const height = Math.min(picture.height, Math.round(box.heightMm / mmPerPx));
  const left = Math.floor((picture.width - width) / 2);
  const top = Math.floor((picture.height - height) / 2);
  return { left, top, width, height };
}
