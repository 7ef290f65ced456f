import { figureBeside, formatSize } from '../../config/figures.js';
import { bleedBox, type PrintSpec } from '../../config/print-spec.js';
import { type LengthUnit, pxToMm, type SizeMm, type SizePx } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';

type TrimAndBleed = Pick<PrintSpec, 'trim' | 'bleedMm'>;

/** What is said of a picture whose size is not the page's. */

/** A crop is told from this on, over the whole width or height: the register tolerance of sheet-fed offset (see plan-fit.ts). */
const toldCropMm = 0.1;

/**
 * A picture that is larger than trim plus bleed, and by how much; nothing where that is less than anybody sees.
 * @param ppi at which it is larger
 */
export function noticeCropped(picture: SizePx, spec: TrimAndBleed, ppi: number, unit: LengthUnit): Noticed[] {
  const box = bleedBox(spec);
  const extra = {
    widthMm: Math.max(0, pxToMm(picture.width, ppi) - box.widthMm),
    heightMm: Math.max(0, pxToMm(picture.height, ppi) - box.heightMm),
  };
  if (Math.max(extra.widthMm, extra.heightMm) <= toldCropMm) return [];
  // It is told to a tenth of a millimetre; inches have thousandths in any case.
  const tenth = (mm: number) => (unit === 'mm' ? Math.round(mm * 10) / 10 : mm);
  const told = { widthMm: tenth(extra.widthMm), heightMm: tenth(extra.heightMm) };
  return [
    {
      code: 'margin-cropped',
      severity: 'note',
      message:
        'The picture is larger than trim plus bleed; what lies around it was left out, evenly on both sides',
      measured: `${formatSize(told, unit)} more (${picture.width} x ${picture.height} px at ${Math.round(ppi)} ppi)`,
      limit: formatSize(box, unit),
      source: 'print spec: trim plus bleed',
      remedy: 'Nothing to do if the page is meant to sit in the middle of its picture; the proof shows it.',
    },
  ];
}

export function bleedMissing(picture: SizePx, spec: TrimAndBleed, unit: LengthUnit): Noticed {
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

export function bleedUnsure(picture: SizePx, spec: TrimAndBleed, unit: LengthUnit): Noticed {
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

/** @param lyingDown whether it would fit if it were turned */
export function wrongShape(picture: SizePx, box: SizeMm, lyingDown: boolean, unit: LengthUnit): Noticed {
  const shape = Number((box.widthMm / box.heightMm).toFixed(3));
  return {
    code: 'shape-wrong',
    severity: 'stop',
    message: lyingDown
      ? 'The page lies on its side'
      : 'The page does not have the shape of trim plus bleed, and a page is never stretched',
    measured: `${picture.width} x ${picture.height} px, width to height ${figureBeside(picture.width / picture.height, shape, 3)}`,
    limit: `${formatSize(box, unit)}, width to height ${shape}`,
    source: 'print spec: trim plus bleed',
    remedy: lyingDown
      ? 'Turn it upright and drop it again.'
      : 'Export the page at trim plus bleed, or give this page its own trim in job.yaml if it is an odd size.',
  };
}
