import { formatMeasured } from '../../config/figures.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { type LengthUnit, mmToPx, pxToMm } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import { processPlanes, type Separation } from '../model/separation.js';
import { repeatedPx } from './repeated-strip.js';

/** Ink below this amount of 255 (2 %) is paper to the eye. Common practice, no published source. */
const paperMost = 5;

/** A column with less ink than this share of its pixels is white: dust and grain are less. Our own choice. */
const dustShare = 0.005;

/** Narrower strips are the soft edge of a picture. Our own choice. */
const narrowestMm = 0.15;

/** A wider one at one side of the fold is a gutter between panels. Common practice, no published source. */
const widestMm = 12;

/** Resampling mixes so many pixels across an edge. */
const softPx = 3;

/** Art that ends at the strip is looked for this far beside it. */
const besideMm = 1;

/** From this share of the height on, and of the bleed at top and bottom, art runs along the strip from edge to edge. Our own choice. */
const alongShare = 0.8;

/** A page as it prints, asked pixel by pixel. */
interface Inked {
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
  /** Rows of bleed at the top, and as many at the bottom. */
  readonly bleedPx: number;
  hasInk(x: number, y: number): boolean;
}

/**
 * Looks at the fold of a spread that was joined from halves: for a strip of white paper, where a half ended short of the fold, and for
 * a strip that stands there twice, where both halves went on past it.
 * @param composite the whole spread as it prints, line included
 */
export function noticeFold(composite: Separation, spec: PrintSpec, units: LengthUnit): Noticed[] {
  const ppi = spec.colourPpi;
  const { width, height } = composite;
  const planes = processPlanes(composite);
  const inkAt = (x: number, y: number) => {
    const i = y * width + x;
    return planes[0][i] + planes[1][i] + planes[2][i] + planes[3][i];
  };
  const bleedPx = Math.floor(mmToPx(spec.bleedMm, ppi));
  const page: Inked = { width, height, ppi, bleedPx, hasInk: (x, y) => inkAt(x, y) > paperMost };
  const gap = noticeGap(page, units);
  if (gap.length > 0) return gap;
  const twicePx = repeatedPx({ width, height, ppi, inkAt });
  return twicePx === undefined ? [] : [doubleFold(pxToMm(twicePx, ppi), units)];
}

/** The white strip at both sides of the fold, where art runs along it at each side that is white. */
function noticeGap(page: Inked, units: LengthUnit): Noticed[] {
  const fold = Math.floor(page.width / 2);
  const sides = [
    { side: 'left', columnAt: (depth: number) => fold - 1 - depth },
    { side: 'right', columnAt: (depth: number) => fold + depth },
  ].map(({ side, columnAt }) => ({ side, columnAt, widthPx: whitePx(page, columnAt) }));
  const white = sides.filter(({ widthPx }) => widthPx > 0);
  const totalMm = pxToMm(
    white.reduce((sum, { widthPx }) => sum + widthPx, 0),
    page.ppi,
  );
  if (totalMm < narrowestMm) return [];
  const isGap = white.every(({ columnAt, widthPx }) => runsAlong(page, columnAt, widthPx));
  if (!isGap) return [];
  const where = white.map(
    ({ side, widthPx }) => `${side} ${formatMeasured(pxToMm(widthPx, page.ppi), units)}`,
  );
  return [
    {
      code: 'spread-gap',
      severity: 'stop',
      message: 'White paper shows at the fold: the halves end short of it',
      measured: `${formatMeasured(totalMm, units)} (${where.join(', ')})`,
      limit: 'art up to the fold',
      source: 'common practice, no published source',
      remedy:
        'Export the halves up to the fold or past it, or the spread as one picture; accept this for the page if a white gutter is meant.',
    },
  ];
}

/** How many columns from the fold on are white; the soft edge of the other half may lie over the first of them. */
function whitePx(page: Inked, columnAt: (depth: number) => number): number {
  const most = Math.min(Math.ceil(mmToPx(widestMm, page.ppi)), Math.floor(page.width / 2) - 1);
  const isInked = (depth: number) => inkRows(page, columnAt(depth), 0, page.height) > page.height * dustShare;
  let first = 0;
  while (first < softPx && isInked(first)) first++;
  let depth = first;
  while (depth < most && !isInked(depth)) depth++;
  return depth === first ? 0 : depth;
}

function inkRows(page: Inked, x: number, top: number, bottom: number): number {
  let rows = 0;
  for (let y = top; y < bottom; y++) if (page.hasInk(x, y)) rows++;
  return rows;
}

/** Whether art runs along a white strip from the top of the page to its bottom, bleed included: looked at millimetre by millimetre. */
function runsAlong(page: Inked, columnAt: (depth: number) => number, widthPx: number): boolean {
  const { height, bleedPx } = page;
  const side = Math.ceil(mmToPx(besideMm, page.ppi));
  const shareOf = (top: number, bottom: number) => {
    let [inked, all] = [0, 0];
    for (let from = top; from < bottom; from += side, all++) {
      if (inkIn(page, columnAt, { from: widthPx, side, top: from, bottom: Math.min(bottom, from + side) }))
        inked++;
    }
    return all === 0 ? 1 : inked / all;
  };
  const parts = [shareOf(0, height), shareOf(0, bleedPx), shareOf(height - bleedPx, height)];
  return parts.every((share) => share >= alongShare);
}

/** Whether there is ink in a square beside the strip. */
function inkIn(
  page: Inked,
  columnAt: (depth: number) => number,
  { from, side, top, bottom }: { from: number; side: number; top: number; bottom: number },
): boolean {
  for (let depth = from; depth < from + side; depth++) {
    for (let y = top; y < bottom; y++) if (page.hasInk(columnAt(depth), y)) return true;
  }
  return false;
}

function doubleFold(widthMm: number, units: LengthUnit): Noticed {
  return {
    code: 'spread-double-fold',
    severity: 'stop',
    message: 'A strip of the picture stands twice at the fold: both halves show it',
    measured: formatMeasured(widthMm, units),
    limit: 'every strip once',
    source: 'common practice, no published source',
    remedy:
      'Export each half with the fold at its place: trim and bleed to the outside, and to the inside nothing, or bleed that is cut away.',
  };
}
