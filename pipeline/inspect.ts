import type { PrintSpec } from '../config/print-spec.js';
import { coverPx, formatLength, type LengthUnit, mmToPx, pxToMm } from '../config/units.js';
import { type FitPlan, ppiTolerance } from './fit.js';
import { mostOfFour, sumOf } from './kernels/samples.js';
import type { Noticed } from './model/findings.js';
import type { Bitmap, Separation } from './model/raster.js';

/** Checks of a page that need its finished separation; what a single stage can see, that stage notices itself. */

/** Ink below this amount of 255 (2 %) is paper to the eye. Common practice, no published source. */
const paperMost = 5;

/** Art this close inside the trim, in millimetres, would have to run on past the trim. Common practice, no published source. */
const nearTrimMm = 1;

/** From this share of an edge on, missing bleed stops the page; below, from a hundredth on, it asks for a look. */
const bleedStopShare = 0.1;
const bleedWarnShare = 0.01;

type Edge = 'top' | 'right' | 'bottom' | 'left';

/**
 * Finds edges where art reaches the trim but not the end of the bleed: cut a hair off, they would show white.
 * @param composite the page as it prints, line included, trim plus bleed at `ppi`
 */
export function noticeBleed(
  composite: Separation,
  spec: PrintSpec,
  ppi: number,
  unit: LengthUnit,
): Noticed[] {
  const bleedPx = Math.floor(mmToPx(spec.bleedMm, ppi));
  if (bleedPx < 2) return [];
  const edges: Edge[] = ['top', 'right', 'bottom', 'left'];
  const bare: { edge: Edge; share: number }[] = [];
  for (const edge of edges) {
    const share = bareShare(composite, edge, bleedPx, coverPx(nearTrimMm, ppi));
    if (share >= bleedWarnShare) bare.push({ edge, share });
  }
  if (bare.length === 0) return [];
  const worst = Math.max(...bare.map(({ share }) => share));
  return [
    {
      code: 'bleed-empty',
      severity: worst >= bleedStopShare ? 'stop' : 'warn',
      message: `Art ends at the trim instead of running through the bleed (${bare.map(({ edge }) => edge).join(', ')})`,
      measured: bare.map(({ edge, share }) => `${edge} ${(share * 100).toFixed(0)} % of the edge`).join(', '),
      limit: `art through the whole bleed of ${formatLength(spec.bleedMm, unit)}`,
      source: 'print spec: bleed',
      remedy:
        'Extend the art to the edge of the bleed, or accept the finding for this page if the white edge is meant.',
    },
  ];
}

/** Share of an edge at which there is ink just inside the trim but none in the outer quarter of the bleed. */
function bareShare(page: Separation, edge: Edge, bleedPx: number, nearPx: number): number {
  const { width, height } = page;
  const upright = edge === 'top' || edge === 'bottom';
  const along = upright ? width : height;
  const across = upright ? height : width;
  const stepAlong = upright ? 1 : width;
  const stepAcross = upright ? width : 1;
  const backwards = edge === 'bottom' || edge === 'right';
  const at = (depth: number) => (backwards ? across - 1 - depth : depth) * stepAcross;
  let bare = 0;
  const outer = Math.max(1, Math.floor(bleedPx / 4));
  for (let position = bleedPx; position < along - bleedPx; position++) {
    const base = position * stepAlong;
    if (anyInk(page, base, at, 0, outer)) continue;
    if (anyInk(page, base, at, bleedPx, bleedPx + nearPx)) bare++;
  }
  return bare / Math.max(1, along - 2 * bleedPx);
}

/** Whether any pixel across the edge, from one depth to before another, has more ink than paper shows. */
function anyInk(
  { cyan, magenta, yellow, black }: Separation,
  base: number,
  at: (depth: number) => number,
  from: number,
  to: number,
): boolean {
  for (let depth = from; depth < to; depth++) {
    const i = base + at(depth);
    if (cyan[i] + magenta[i] + yellow[i] + black[i] > paperMost) return true;
  }
  return false;
}

/** Mean ink coverage of a plate, in percent. */
export function coveragePercent(plate: Uint8Array): number {
  return plate.length === 0 ? 0 : (sumOf(plate) / plate.length / 255) * 100;
}

/** The most C+M+Y+K on any pixel, in percent: 100 x (C+M+Y+K) / 255. */
export function mostInkPercent(separation: Separation): number {
  const { cyan, magenta, yellow, black } = separation;
  return (mostOfFour([cyan, magenta, yellow, black]) / 255) * 100;
}

/** From this share on somebody should look whether so much line is meant to print in colour. */
const heldLimitPercent = 30;

/**
 * Says how much of the line art moved to the colour plates; nothing when none did.
 * @param isLayered layers tell what colours the line; of a flat colour part it is read from the picture, and could be
 *   mistaken
 */
export function noticeHeld(heldPercent: number, isLayered: boolean): Noticed[] {
  if (heldPercent < 0.05) return [];
  const isMuch = !isLayered && heldPercent > heldLimitPercent;
  return [
    {
      code: 'line-held',
      severity: isMuch ? 'warn' : 'note',
      message:
        'Part of the line art is coloured by a hold or an effect above it and prints in the colour plates',
      measured: `${heldPercent.toFixed(1)} % of the line area`,
      limit: isMuch ? `${heldLimitPercent} %` : undefined,
      source: isMuch ? 'our own choice, no published source' : undefined,
      remedy: 'Look at the proof: nothing to do if the coloured line is meant.',
    },
  ];
}

/** Says that the black was lifted from a flat picture, and how much of the page it covers. */
export function noticeLifted(line: Bitmap, ppi: number, inkPercent: number): Noticed[] {
  return [
    {
      code: 'black-lifted',
      severity: 'note',
      message: 'The page came as one flat picture; its black was lifted onto the line plate',
      measured: inkedArea(line, ppi, inkPercent),
      limit: undefined,
      source: undefined,
      remedy: 'Drop the inks as a file of their own for the crispest line; otherwise look at the proof.',
    },
  ];
}

/** Says that the black was lifted from layers: a guess worth a look, the layer of the inks may just bear another name. */
export function noticeUnnamedLine(line: Bitmap, ppi: number, inkPercent: number): Noticed[] {
  return [
    {
      code: 'line-unnamed',
      severity: 'warn',
      message: 'No layer is named as line; black was lifted from the flattened page onto the line plate',
      measured: inkedArea(line, ppi, inkPercent),
      remedy:
        'Name the layer of the inks line, or add its name under parts in job.yaml; otherwise look at the proof.',
    },
  ];
}

function inkedArea({ width, height }: Bitmap, ppi: number, inkPercent: number): string {
  return `${inkPercent.toFixed(1)} % of ${pxToMm(width, ppi).toFixed(0)} x ${pxToMm(height, ppi).toFixed(0)} mm`;
}

/** A page of line art that is more ink than this was most likely saved with black and white exchanged. */
const mostInkPercentOfLine = 75;

/** Warns of line art that is nearly all ink. */
export function noticeMostlyInk(inkPercent: number): Noticed[] {
  if (inkPercent <= mostInkPercentOfLine) return [];
  return [
    {
      code: 'line-mostly-ink',
      severity: 'warn',
      message: 'The line art is ink nearly all over, as if black and white were exchanged',
      measured: `${inkPercent.toFixed(1)} % ink`,
      limit: `${mostInkPercentOfLine} %`,
      source: 'common practice, no published source',
      remedy:
        'Look at the proof; invert the inks and drop them again, or accept this in job.yaml for a page at night.',
    },
  ];
}

/** Notes transparency that a flat page still had; it was laid on white paper. */
export function noticeAlpha(transparentPercent: number): Noticed[] {
  if (transparentPercent <= 0) return [];
  return [
    {
      code: 'alpha-left',
      severity: 'warn',
      message: 'The flat page still holds transparency; it was laid on white paper',
      measured: `${transparentPercent.toFixed(1)} % of the pixels are not opaque`,
      limit: 'none',
      source: 'TIFF 6.0 section 16: a separated page has no extra samples',
      remedy: 'Flatten the page onto paper before dropping it, if the white is not meant.',
    },
  ];
}

/**
 * What the resolution of the colour means for print. Enlarging is a stop, unless the job allows it: then a warning.
 */
export function noticeColourPpi(plan: FitPlan, spec: PrintSpec): Noticed[] {
  if (plan.effectivePpi >= spec.colourPpi * (1 - ppiTolerance)) return [];
  return [
    {
      code: 'colour-ppi-low',
      severity: spec.allowEnlarging ? 'warn' : 'stop',
      message: 'The colour has fewer pixels than the print spec asks for and would have to be enlarged',
      measured: ppiText(plan.effectivePpi),
      limit: `${spec.colourPpi} ppi`,
      source: 'print spec: colourPpi',
      remedy: 'Export the page at full size, or set allowEnlarging for it in job.yaml if the printer agrees.',
    },
  ];
}

/** What the resolution of the line art means: below the line plate's it is a warning, below the colour's a stop. */
export function noticeLinePpi(plan: FitPlan, spec: PrintSpec, lifted: boolean): Noticed[] {
  if (plan.effectivePpi >= spec.linePpi * (1 - ppiTolerance)) return [];
  const tooLow = plan.effectivePpi < spec.colourPpi * (1 - ppiTolerance) && !spec.allowEnlarging;
  return [
    {
      code: 'line-ppi-low',
      severity: tooLow && !lifted ? 'stop' : 'warn',
      message: lifted
        ? 'The line was lifted from a picture with fewer pixels than the line plate; its edges are less crisp than inks'
        : 'The line art has fewer pixels than the line plate; its edges are less crisp than they could be',
      measured: ppiText(plan.effectivePpi),
      limit: `${spec.linePpi} ppi`,
      source: 'print spec: linePpi',
      remedy: 'Deliver the inks at the resolution of the line plate, as they were scanned.',
    },
  ];
}

/** Rounded down, so that 299.6 never reads as the 300 that it misses; the noise of floating point aside. */
function ppiText(ppi: number): string {
  return `${Math.floor(ppi + 1e-6)} ppi`;
}
