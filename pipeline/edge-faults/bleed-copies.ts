import { mmToPx, type SizePx } from '../../config/units.js';
import type { MeasuredBox } from '../model/places.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';

/** Bleed that nobody painted: made from the art inside the trim. */
export interface CopiedBleed {
  /** `mirrored`: the art inside the trim, turned over; `smeared`: its last row, again and again. */
  readonly kind: 'mirrored' | 'smeared';
  readonly side: Side;
  /** Length along the edge, in pixels. */
  readonly lengthPx: number;
  /** Where, the longest first. */
  readonly boxes: readonly MeasuredBox[];
}

type Side = 'top' | 'right' | 'bottom' | 'left';
const sides: readonly Side[] = ['top', 'right', 'bottom', 'left'];

/** An edge is looked at in pieces of this length. Own choice. */
const pieceMm = 5;
/** So much of a piece has to tell: flat colour is its own mirror image, and smeared as well. Own choice. */
const tellingShare = 0.3;
/** So much of what tells has to say the same. Own choice. */
const agreeingShare = 0.9;
/** Inks are the same up to this much, of 255, all four together: resampling and JPEG change that much. Own choice. */
const sameCounts = 24;
/** Art varies where any ink does by more than this across the bleed's width, all four together, of 255. Own choice. */
const variesCounts = 60;
/** Every so-manieth place along an edge is asked. */
const everyPx = 2;
/** So much of smeared bleed has to differ from the rest along the edge. Own choice. */
const streakShare = 0.1;
/** Bleed may have been mirrored at a line that is off the trim by so many pixels: trim lies between pixels. */
const axisPx = [0, -1, 1, -2, 2] as const;

/**
 * Looks for bleed that mirrors or smears the art inside the trim, where that art varies enough to tell.
 * @param composite the page as it prints, trim plus bleed at `ppi`
 * @param trim where the trim lies on it
 */
export function measureCopiedBleed(
  composite: Separation,
  trim: SizePx & { readonly left: number; readonly top: number },
  ppi: number,
): CopiedBleed[] {
  const planes = processPlanes(composite);
  const piece = Math.max(8, Math.round(mmToPx(pieceMm, ppi)));
  return sides.flatMap((side) => {
    const edge = edgeOf(side, composite, trim, planes);
    if (edge.bleed < 4) return [];
    const found: Record<CopiedBleed['kind'], MeasuredBox[]> = { smeared: [], mirrored: [] };
    for (let from = 0; from + piece <= edge.length; from += piece) {
      const kind = kindOf(edge, from, piece);
      if (kind !== undefined) extend(found[kind], edge.boxAt(from, piece));
    }
    return (['mirrored', 'smeared'] as const)
      .filter((kind) => found[kind].length > 0)
      .map((kind) => summedUp(kind, side, found[kind]));
  });
}

function summedUp(kind: CopiedBleed['kind'], side: Side, boxes: readonly MeasuredBox[]): CopiedBleed {
  const lengthOf = ({ width, height }: MeasuredBox) => (side === 'top' || side === 'bottom' ? width : height);
  const lengthPx = boxes.reduce((sum, box) => sum + lengthOf(box), 0);
  return { kind, side, lengthPx, boxes: [...boxes].sort((a, b) => lengthOf(b) - lengthOf(a)) };
}

/** Adds a piece to the box before it where they touch. */
function extend(boxes: MeasuredBox[], piece: MeasuredBox): void {
  const before = boxes.at(-1);
  const isBeside = before && before.left + before.width === piece.left && before.top === piece.top;
  const isBelow = before && before.top + before.height === piece.top && before.left === piece.left;
  if (isBeside) boxes[boxes.length - 1] = { ...before, width: before.width + piece.width };
  else if (isBelow) boxes[boxes.length - 1] = { ...before, height: before.height + piece.height };
  else boxes.push(piece);
}

/** An edge of the page, asked by how far along it and how deep: 0 is the first row inside the trim, -1 the first of the bleed. */
interface Edge {
  readonly length: number;
  /** Rows of bleed. */
  readonly bleed: number;
  /** How much the inks of two places differ, all four together. */
  differ(along: number, depth: number, other: number): number;
  /** The same for two places along the edge, in the first row of the bleed. */
  differAlong(one: number, other: number): number;
  boxAt(along: number, length: number): MeasuredBox;
}

function edgeOf(
  side: Side,
  page: SizePx,
  trim: SizePx & { readonly left: number; readonly top: number },
  planes: ProcessPlanes,
): Edge {
  const isLevel = side === 'top' || side === 'bottom';
  const isFirst = side === 'top' || side === 'left';
  const [trimStart, trimSize, all] = isLevel
    ? [trim.top, trim.height, page.height]
    : [trim.left, trim.width, page.width];
  const bleed = isFirst ? trimStart : all - trimStart - trimSize;
  const rowAt = (depth: number) => (isFirst ? trimStart + depth : trimStart + trimSize - 1 - depth);
  const [step, across] = isLevel ? [1, page.width] : [page.width, 1];
  const start = isLevel ? trim.left : trim.top;
  return {
    length: isLevel ? trim.width : trim.height,
    bleed,
    differ: (along, depth, other) => {
      const base = (start + along) * step;
      return countsBetween(planes, base + rowAt(depth) * across, base + rowAt(other) * across);
    },
    differAlong: (one, other) => {
      const row = rowAt(-1) * across;
      return countsBetween(planes, (start + one) * step + row, (start + other) * step + row);
    },
    boxAt: (along, length) => {
      const outer = isFirst ? 0 : all - bleed;
      return isLevel
        ? { left: start + along, top: outer, width: length, height: bleed }
        : { left: outer, top: start + along, width: bleed, height: length };
    },
  };
}

function countsBetween([c, m, y, k]: ProcessPlanes, one: number, other: number): number {
  return (
    Math.abs(c[one] - c[other]) +
    Math.abs(m[one] - m[other]) +
    Math.abs(y[one] - y[other]) +
    Math.abs(k[one] - k[other])
  );
}

/** What a piece of bleed is, if not painted. */
function kindOf(edge: Edge, from: number, length: number): CopiedBleed['kind'] | undefined {
  const telling: number[] = [];
  for (let along = from; along < from + length; along += everyPx)
    if (varies(edge, along)) telling.push(along);
  if (telling.length * everyPx < tellingShare * length) return undefined;
  const least = telling.length * agreeingShare;
  const agree = (test: (along: number) => boolean) => telling.filter(test).length >= least;
  if (agree((along) => isSmeared(edge, along))) return hasStreaks(edge, telling) ? 'smeared' : undefined;
  const isMirror = axisPx.some((axis) => agree((along) => isMirrored(edge, along, -1, axis)));
  return isMirror && !repeatsItself(edge, agree) ? 'mirrored' : undefined;
}

/** Whether smeared bleed changes along the edge: one colour all along is a ground that goes on, or paper. */
function hasStreaks(edge: Edge, telling: readonly number[]): boolean {
  const others = telling.filter((along) => edge.differAlong(telling[0], along) > variesCounts);
  return others.length >= streakShare * telling.length;
}

/** Whether the art mirrors itself at some depth inside the trim too, as hatching and screens do: then the bleed may be painted. */
function repeatsItself(edge: Edge, agree: (test: (along: number) => boolean) => boolean): boolean {
  for (let depth = edge.bleed; depth <= 2 * edge.bleed; depth++) {
    if (agree((along) => isMirrored(edge, along, depth - 1, 0))) return true;
  }
  return false;
}

/** Whether the art inside the trim changes over as much of it as there is bleed. */
function varies(edge: Edge, along: number): boolean {
  for (let depth = 1; depth < edge.bleed; depth++) {
    if (edge.differ(along, 0, depth) > variesCounts) return true;
  }
  return false;
}

function isSmeared(edge: Edge, along: number): boolean {
  for (let depth = 2; depth <= edge.bleed; depth++) {
    if (edge.differ(along, -1, -depth) > sameCounts) return false;
  }
  return true;
}

/**
 * Row by row outward as inward, a few of them excepted: what is mirrored elsewhere has a fold in it.
 * @param before the last row before the mirror; -1 for the trim
 * @param axis how many rows the mirror is off
 */
function isMirrored(edge: Edge, along: number, before: number, axis: number): boolean {
  let others = 0;
  const first = Math.max(0, -axis);
  for (let step = first; step < edge.bleed; step++) {
    const inward = before + 1 + step + axis;
    // Half a pixel off, as resampling leaves it, is as much as half of what the art changes from pixel to pixel.
    const soft = Math.max(sameCounts, edge.differ(along, inward, inward + 1) / 2);
    if (edge.differ(along, before - step, inward) > soft) others++;
  }
  return others <= (edge.bleed - first) * (1 - agreeingShare);
}
