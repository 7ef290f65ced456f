import { mmToPx, type SizePx } from '../../config/units.js';
import type { MeasuredBox } from '../model/places.js';
import { processPlanes, type Separation } from '../model/separation.js';

/** A straight edge of art that runs along the trim, with paper between. */
export interface Frame {
  readonly side: 'top' | 'right' | 'bottom' | 'left';
  /** How far inside the trim, in pixels. */
  readonly depthPx: number;
  /** Share of that side of the page along which it runs, percent. */
  readonly percent: number;
  readonly box: MeasuredBox;
}

/** Ink up to this amount of 255, all inks together, is paper to the eye, with the soft edge of what stands on it. Own choice. */
const paperMost = 40;
/** A frame drawn by hand wavers by so many pixels to each side. Own choice. */
const waverPx = 2;
/** Art this close to the trim was meant to reach it: the bleed is looked at for that. Own choice. */
const onTrimMm = 1;

/**
 * Looks for frames of panels between the trim and a depth inside it: cut a hair off, the strip of paper beside them is visibly uneven.
 * Where art runs through the bleed there is none.
 * @param trim where the trim lies on the page
 * @param depthPx how deep is looked
 * @param leastPercent of a side along which a frame has to run
 * @param ppi of the page
 */
export function measureFrames(
  composite: Separation,
  trim: SizePx & { readonly left: number; readonly top: number },
  depthPx: number,
  leastPercent: number,
  ppi: number,
): Frame[] {
  const onTrim = Math.round(mmToPx(onTrimMm, ppi));
  return (['top', 'right', 'bottom', 'left'] as const).flatMap((side) => {
    const counts = firstInk(composite, trim, side, depthPx);
    const length = side === 'top' || side === 'bottom' ? trim.width : trim.height;
    let best = { depth: 0, count: 0 };
    for (let depth = onTrim; depth < depthPx; depth++) {
      let count = 0;
      for (let near = Math.max(onTrim, depth - waverPx); near <= depth + waverPx; near++)
        count += counts[near] ?? 0;
      if (count > best.count) best = { depth, count };
    }
    const percent = (best.count * 100) / length;
    if (percent <= leastPercent) return [];
    return [{ side, depthPx: best.depth, percent, box: boxOf(side, trim, best.depth) }];
  });
}

function boxOf(side: Frame['side'], trim: MeasuredBox, depth: number): MeasuredBox {
  const { left, top, width, height } = trim;
  const thick = Math.max(depth, 1);
  if (side === 'top') return { left, top, width, height: thick };
  if (side === 'bottom') return { left, top: top + height - thick, width, height: thick };
  if (side === 'left') return { left, top, width: thick, height };
  return { left: left + width - thick, top, width: thick, height };
}

/** At how many places of a side the first ink, counted from the end of the bleed, stands at each depth inside the trim. */
function firstInk(
  composite: Separation,
  trim: SizePx & { readonly left: number; readonly top: number },
  side: Frame['side'],
  depthPx: number,
): Uint32Array {
  const [c, m, y, k] = processPlanes(composite);
  const { width, height } = composite;
  const isLevel = side === 'top' || side === 'bottom';
  const isFirst = side === 'top' || side === 'left';
  const [along, across] = isLevel ? [1, width] : [width, 1];
  const [start, length] = isLevel ? [trim.left, trim.width] : [trim.top, trim.height];
  const outer = isFirst ? 0 : (isLevel ? height : width) - 1;
  const inward = isFirst ? across : -across;
  const toTrim = isLevel
    ? edgeDepth(isFirst, trim.top, trim.height, height)
    : edgeDepth(isFirst, trim.left, trim.width, width);
  const counts = new Uint32Array(depthPx);
  for (let n = 0; n < length; n++) {
    let i = (start + n) * along + outer * across;
    for (let depth = 0; depth < toTrim + depthPx; depth++, i += inward) {
      if (c[i] + m[i] + y[i] + k[i] <= paperMost) continue;
      if (depth >= toTrim) counts[depth - toTrim]++;
      break;
    }
  }
  return counts;
}

/** Rows of bleed at one side. */
function edgeDepth(isFirst: boolean, trimStart: number, trimSize: number, all: number): number {
  return isFirst ? trimStart : all - trimStart - trimSize;
}
