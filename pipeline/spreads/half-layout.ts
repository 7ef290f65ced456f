import { bleedBox, bleedBoxPx, type PageBox } from '../../config/print-spec.js';
import { halfTrim } from '../../config/spread-halves.js';
import { mmPerInch, mmToPx, pxToMm } from '../../config/units.js';
import type { SizedPicture } from '../sizes/plan-fit.js';

/** How far a half may miss the height of trim plus bleed, as a page may (sizes/plan-fit.ts). */
const toleranceMm = 0.5;

/** How far a half may go on past the fold. Our own choice: the widest bleed there is. */
const mostBeyondMm = 25.4;

/** Resolutions of two halves that differ by no more than the rounding of their sizes to whole pixels. */
const samePpi = 0.005;

/** Where the fold lies in the picture of one half. */
export interface HalfLayout {
  /** Pixels per inch at print size. */
  readonly ppi: number;
  /** How far the picture goes on past the fold, in pixels; negative where it ends short of it. */
  readonly beyondPx: number;
}

/**
 * Finds the fold in the picture of one half by its size: its outer side has bleed as the print spec says, and whatever it is wider
 * than that goes on past the fold, from nothing (cut at the fold) to bleed as on the other sides or a wider overlap.
 * @param spec of the whole spread
 * @returns undefined where the size is that of no half
 */
export function layoutOf(picture: SizedPicture, spec: PageBox): HalfLayout | undefined {
  const { ppi: stated } = picture;
  const square = stated !== undefined && Math.abs(stated.x - stated.y) <= stated.x * samePpi;
  const printed = [spec.colourPpi, spec.linePpi];
  const known = square
    ? [...printed.filter((ppi) => Math.abs(ppi - stated.x) <= ppi * samePpi), stated.x]
    : printed;
  for (const ppi of [...known, ...printed]) {
    const found = layoutAt(picture, spec, ppi);
    if (found !== undefined) return found;
  }
  // Trim only, without any bleed, would pass for a smaller half with bleed.
  const isTrim = known.some((ppi) => isNear(picture.height, spec.trim.heightMm, ppi));
  if (isTrim) return undefined;
  return layoutAt(picture, spec, (picture.height * mmPerInch) / bleedBox(spec).heightMm);
}

function isNear(lengthPx: number, lengthMm: number, ppi: number): boolean {
  return Math.abs(pxToMm(lengthPx, ppi) - lengthMm) <= toleranceMm;
}

function layoutAt({ width, height }: SizedPicture, spec: PageBox, ppi: number): HalfLayout | undefined {
  if (!isNear(height, bleedBox(spec).heightMm, ppi)) return undefined;
  const beyondPx = width - wholeWidthPx(spec, ppi) / 2;
  const beyondMm = pxToMm(beyondPx, ppi);
  return beyondMm >= -toleranceMm && beyondMm <= mostBeyondMm ? { ppi, beyondPx } : undefined;
}

/** Width of the whole spread in pixels of its halves. */
function wholeWidthPx(spec: PageBox, ppi: number): number {
  const isPrinted = ppi === spec.colourPpi || ppi === spec.linePpi;
  return isPrinted ? bleedBoxPx(spec, ppi).width : Math.round(mmToPx(bleedBox(spec).widthMm, ppi));
}

/** The print spec of a half as if it were a single page. */
export function singlePage(spec: PageBox): PageBox {
  return { ...spec, trim: halfTrim(spec) };
}

/** Two halves as they lie in the whole spread, in its pixels. */
export interface Fold {
  readonly ppi: number;
  readonly width: number;
  readonly height: number;
  /** Where the left half ends and the right one begins. */
  readonly foldX: number;
  /** Where the right half's picture has its top left corner. */
  readonly rightX: number;
  readonly rightY: number;
}

/** Lays two halves of one resolution beside each other: by their outer edges across, by their middle down. */
export function foldOf(left: SizedPicture, right: SizedPicture, spec: PageBox, ppi: number): Fold {
  const wanted = wholeWidthPx(spec, ppi);
  // Halves that end a pixel short of the fold by rounding make a spread as wide as they are.
  const width = Math.min(wanted, left.width + right.width);
  const foldX = Math.min(left.width, Math.max(width - right.width, Math.floor(width / 2)));
  const rightY = Math.round((left.height - right.height) / 2);
  return { ppi, width, height: left.height, foldX, rightX: width - right.width, rightY };
}

/** Whether two halves have one resolution. */
export function haveOnePpi(left: HalfLayout, right: HalfLayout): boolean {
  return Math.abs(left.ppi - right.ppi) <= left.ppi * samePpi;
}
