import { figureBeside, formatLength } from '../../config/figures.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { coverPx, type LengthUnit, mmToPx } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { Separation } from '../model/separation.js';

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
      measured: bare
        .map(({ edge, share }) => `${edge} ${figureBeside(share * 100, 100, 0)} % of the edge`)
        .join(', '),
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
  const planes = page.inks.map(({ plane }) => plane);
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
    if (anyInk(planes, base, at, 0, outer)) continue;
    if (anyInk(planes, base, at, bleedPx, bleedPx + nearPx)) bare++;
  }
  return bare / Math.max(1, along - 2 * bleedPx);
}

/** Whether any pixel across the edge, from one depth to before another, has more ink than paper shows. */
function anyInk(
  planes: readonly Uint8Array[],
  base: number,
  at: (depth: number) => number,
  from: number,
  to: number,
): boolean {
  for (let depth = from; depth < to; depth++) {
    const i = base + at(depth);
    let sum = 0;
    for (const plane of planes) sum += plane[i];
    if (sum > paperMost) return true;
  }
  return false;
}
