import { bleedBox, type PrintSpec } from '../../config/print-spec.js';
import {
  formatSize,
  type LengthUnit,
  mmPerInch,
  pxToMm,
  type SizeMm,
  type SizePx,
} from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { StatedPpi } from '../model/raster.js';

/**
 * How far a working page may miss the shape of trim plus bleed, over its whole width or height. What is too much is
 * cropped evenly; a page is never stretched. Half a millimetre is a sixth of the usual 3 mm bleed and five times the
 * register tolerance of sheet-fed offset (0.1 mm): common practice, no published source.
 */
const shapeToleranceMm = 0.5;

/** A resolution counts as reached when it is missed by no more than this share: the rounding of sizes to whole pixels. */
export const ppiTolerance = 0.005;

/** Where trim plus bleed lies in a working picture. */
export interface FitPlan {
  /** The part of the picture that is trim plus bleed, in its own pixels. */
  readonly crop: {
    readonly left: number;
    readonly top: number;
    readonly width: number;
    readonly height: number;
  };
  /** Pixels per inch that the picture has at print size. */
  readonly effectivePpi: number;
}

export interface FitOutcome {
  /** undefined when the picture cannot be brought to the size of the page; the reason is among what was noticed. */
  readonly plan: FitPlan | undefined;
  readonly noticed: readonly Noticed[];
}

/**
 * Finds trim plus bleed in a working picture. Its pixel shape decides; the resolution that the file states is asked
 * only where the shape alone does not fit, since stated resolutions are often wrong.
 */
export function planFit(
  picture: SizePx & { readonly ppi: StatedPpi | undefined },
  spec: Pick<PrintSpec, 'trim' | 'bleedMm'>,
  unit: LengthUnit,
): FitOutcome {
  const box = bleedBox(spec);
  const whole = coverBox(picture, box);
  const isTrim = spec.bleedMm > 0 && coverBox(picture, spec.trim) !== undefined;
  if (whole !== undefined && !isTrim) return { plan: whole, noticed: [] };
  if (whole !== undefined) return asStated(picture, whole, spec, unit);
  if (isTrim) return { plan: undefined, noticed: [bleedMissing(picture, spec, unit)] };
  const larger = cropToBox(picture, box);
  if (larger !== undefined) return { plan: larger, noticed: [cropped(picture, box, unit)] };
  return { plan: undefined, noticed: [wrongShape(picture, box, unit)] };
}

/** Nearly square pages have one shape with and without bleed: the resolution that the file states tells which it is. */
function asStated(
  picture: SizePx & { readonly ppi: StatedPpi | undefined },
  plan: FitPlan,
  spec: Pick<PrintSpec, 'trim' | 'bleedMm'>,
  unit: LengthUnit,
): FitOutcome {
  if (hasSize(picture, bleedBox(spec))) return { plan, noticed: [] };
  if (hasSize(picture, spec.trim)) return { plan: undefined, noticed: [bleedMissing(picture, spec, unit)] };
  return { plan, noticed: [bleedUnsure(picture, spec, unit)] };
}

function hasSize({ width, height, ppi }: SizePx & { ppi: StatedPpi | undefined }, box: SizeMm): boolean {
  if (ppi === undefined) return false;
  const missesMm = [pxToMm(width, ppi.x) - box.widthMm, pxToMm(height, ppi.y) - box.heightMm];
  return missesMm.every((miss) => Math.abs(miss) <= shapeToleranceMm);
}

/** Pixels per inch that a picture has at print size; where its shape does not fit, as if its width were that of the page. */
export function printPpi(
  picture: SizePx & { readonly ppi: StatedPpi | undefined },
  spec: Pick<PrintSpec, 'trim' | 'bleedMm'>,
): number {
  const { plan } = planFit(picture, spec, 'mm');
  return plan?.effectivePpi ?? (picture.width * mmPerInch) / bleedBox(spec).widthMm;
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
function cropToBox(picture: SizePx & { ppi: StatedPpi | undefined }, box: SizeMm): FitPlan | undefined {
  const { ppi } = picture;
  if (ppi === undefined || Math.abs(ppi.x - ppi.y) > ppi.x * ppiTolerance) return undefined;
  const extraWidthMm = pxToMm(picture.width, ppi.x) - box.widthMm;
  const extraHeightMm = pxToMm(picture.height, ppi.y) - box.heightMm;
  const evenly = Math.abs(extraWidthMm - extraHeightMm) <= 2 * shapeToleranceMm;
  if (extraWidthMm < -shapeToleranceMm || extraHeightMm < -shapeToleranceMm || !evenly) return undefined;
  return { crop: centred(picture, box, mmPerInch / ppi.x), effectivePpi: ppi.x };
}

function centred(picture: SizePx, box: SizeMm, mmPerPx: number): FitPlan['crop'] {
  const width = Math.min(picture.width, Math.round(box.widthMm / mmPerPx));
  const height = Math.min(picture.height, Math.round(box.heightMm / mmPerPx));
  const left = Math.floor((picture.width - width) / 2);
  const top = Math.floor((picture.height - height) / 2);
  return { left, top, width, height };
}

function bleedMissing(picture: SizePx, spec: Pick<PrintSpec, 'trim' | 'bleedMm'>, unit: LengthUnit): Noticed {
  return {
    code: 'bleed-missing',
    severity: 'stop',
    message: 'The page has the shape of the trim, without bleed',
    measured: `${picture.width} x ${picture.height} px`,
    limit: `the shape of ${formatSize(bleedBox(spec), unit)}`,
    source: 'print spec: trim plus bleed on all sides',
    remedy: 'Export the page with its bleed; art has to run past the trim on all four sides.',
  };
}

function bleedUnsure(picture: SizePx, spec: Pick<PrintSpec, 'trim' | 'bleedMm'>, unit: LengthUnit): Noticed {
  return {
    code: 'bleed-unsure',
    severity: 'warn',
    message:
      'The shape fits with and without bleed, and the file does not say its size; it was taken as with bleed',
    measured: `${picture.width} x ${picture.height} px`,
    limit: `${formatSize(bleedBox(spec), unit)} with bleed, ${formatSize(spec.trim, unit)} without`,
    source: 'print spec: trim plus bleed on all sides',
    remedy:
      'Look at the trim in the proof; export the page with its resolution, or accept this in job.yaml if it is right.',
  };
}

function cropped(picture: SizePx & { ppi: StatedPpi | undefined }, box: SizeMm, unit: LengthUnit): Noticed {
  return {
    code: 'margin-cropped',
    severity: 'note',
    message: 'The page is larger than trim plus bleed; the even margin around it was left out',
    measured: `${picture.width} x ${picture.height} px at ${Math.round(picture.ppi?.x ?? 0)} ppi`,
    limit: formatSize(box, unit),
    source: 'print spec: trim plus bleed',
    remedy: 'Nothing to do if the page is meant to sit in the middle of its picture; the proof shows it.',
  };
}

function wrongShape(picture: SizePx, box: SizeMm, unit: LengthUnit): Noticed {
  const lyingDown = coverBox({ width: picture.height, height: picture.width }, box) !== undefined;
  return {
    code: 'shape-wrong',
    severity: 'stop',
    message: lyingDown
      ? 'The page lies on its side'
      : 'The page has not the shape of trim plus bleed, and a page is never stretched',
    measured: `${picture.width} x ${picture.height} px, width to height ${ratio(picture.width, picture.height)}`,
    limit: `${formatSize(box, unit)}, width to height ${ratio(box.widthMm, box.heightMm)}`,
    source: 'print spec: trim plus bleed',
    remedy: lyingDown
      ? 'Turn it upright and drop it again.'
      : 'Export the page at trim plus bleed, or give this page its own trim in job.yaml if it is an odd size.',
  };
}

function ratio(width: number, height: number): string {
  return (width / height).toFixed(3);
}
