import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { mmToPx, type SizePx } from '../../config/units.js';
import { leastBorderMm, type StraightEdge } from './straight-edges.js';

/** What the borders of panels tell: whether the scan is askew, and whether the trim cuts them. */

/** Paper before a border is at least as wide, in millimetres: half a narrow gutter. Hatching has less. Own choice. */
const gutterMm = 1.2;

/** Borders agree within this, in degrees. Own choice: a ruler on paper keeps it. */
const agreeingDegrees = 0.15;

/** Share of the length of all borders that has to agree. Own choice. */
const agreeingShare = 0.7;

/** Level and upright borders of one scan are turned alike within this, in degrees. Own choice. */
const turnedAlikeDegrees = 0.2;

/** So long are borders in all from which skew is told, and so many there are at least, in each direction that is asked. Own choice. */
const tellingMm = 150;
const tellingBorders = 3;

/** Borders are no thicker, in millimetres: what is thicker is a black area. Own choice. */
const mostBorderMm = 1.5;

/** Share of a border that has nothing but paper between it and the edge of the picture. Own choice. */
const outerMost = 0.9;

/** Where a border ends another begins, within so many millimetres: two cuts of `straightEdges`, and a round corner. Own choice. */
const cornerMm = 3.5;

/** How a page is turned. */
export interface Skew {
  /** Clockwise. */
  readonly degrees: number;
  /** Borders that agree on it, each side of a border for itself, the longest first. */
  readonly edges: readonly StraightEdge[];
}

/**
 * How far the page is turned, from borders that agree on it.
 * @returns undefined where there are too few, or where they do not agree: panels may be drawn askew
 */
export function skewOf(edges: readonly StraightEdge[], ppi: number): Skew | undefined {
  const borders = edges.filter(({ paperPx }) => paperPx >= mmToPx(gutterMm, ppi));
  if (borders.length < tellingBorders || totalPx(borders) < mmToPx(tellingMm, ppi)) return undefined;
  const [level, upright] = [true, false].map((is) =>
    middleTurn(borders.filter(({ isLevel }) => isLevel === is)),
  );
  if (level === undefined || upright === undefined) return undefined;
  if (Math.abs(level - upright) > turnedAlikeDegrees) return undefined;
  const middle = middleTurn(borders) ?? 0;
  const agreeing = borders.filter((edge) => Math.abs(turnOf(edge) - middle) <= agreeingDegrees);
  const all = totalPx(agreeing);
  if (all < agreeingShare * totalPx(borders)) return undefined;
  const degrees = agreeing.reduce((sum, edge) => sum + turnOf(edge) * lengthOf(edge), 0) / all;
  return { degrees, edges: [...agreeing].sort((a, b) => lengthOf(b) - lengthOf(a)) };
}

function lengthOf({ from, to }: StraightEdge): number {
  return to - from;
}

function totalPx(edges: readonly StraightEdge[]): number {
  return edges.reduce((sum, edge) => sum + lengthOf(edge), 0);
}

/** How far an edge is turned clockwise from level or upright, in degrees. */
function turnOf({ isLevel, atFrom, atTo, from, to }: StraightEdge): number {
  const degrees = (Math.atan((atTo - atFrom) / (to - from)) * 180) / Math.PI;
  return isLevel ? degrees : -degrees;
}

/** Half of the length of all edges is turned less, half more; undefined without any. */
function middleTurn(edges: readonly StraightEdge[]): number | undefined {
  const sorted = [...edges].sort((a, b) => turnOf(a) - turnOf(b));
  let rest = totalPx(edges) / 2;
  for (const edge of sorted) {
    rest -= lengthOf(edge);
    if (rest <= 0) return turnOf(edge);
  }
  return undefined;
}

/** A border that the cut takes away, or cuts through. */
export interface CutBorder {
  readonly side: 'top' | 'right' | 'bottom' | 'left';
  readonly edge: StraightEdge;
  /** How far it reaches past the trim, in pixels. */
  readonly beyondPx: number;
}

/**
 * Borders that lie in the bleed or that the trim crosses: thin straight line along an edge of the page, with nothing but paper
 * outside, that meets another at a corner. Panels that run off the page have no such line, and line of art no such corner.
 * @param size of the line plate
 * @param leastBeyondMm what reaches less past the trim is not told
 */
export function bordersCut(
  edges: readonly StraightEdge[],
  size: SizePx,
  spec: Pick<PrintSpec, 'trim'>,
  ppi: number,
  leastBeyondMm: number,
): CutBorder[] {
  const trim = trimBoxPx(size, spec, ppi);
  const ends = {
    left: trim.left,
    right: trim.left + trim.width,
    top: trim.top,
    bottom: trim.top + trim.height,
  };
  const cut: CutBorder[] = [];
  for (const edge of edges) {
    const { isLevel, opensInk, atFrom, atTo, inkPx, outerShare } = edge;
    if (outerShare < outerMost || inkPx > mmToPx(mostBorderMm, ppi)) continue;
    if (lengthOf(edge) < mmToPx(leastBorderMm, ppi) * outerMost || runsOff(edge, size)) continue;
    const side = isLevel ? (opensInk ? 'top' : 'bottom') : opensInk ? 'left' : 'right';
    const beyondPx = opensInk ? ends[side] - Math.min(atFrom, atTo) : Math.max(atFrom, atTo) - ends[side];
    if (beyondPx <= mmToPx(leastBeyondMm, ppi)) continue;
    if (edges.some((other) => meet(edge, other, mmToPx(cornerMm, ppi)))) cut.push({ side, edge, beyondPx });
  }
  return cut.sort((a, b) => lengthOf(b.edge) - lengthOf(a.edge));
}

/** Whether two borders, one level and one upright, end where they meet. */
function meet(one: StraightEdge, other: StraightEdge, withinPx: number): boolean {
  if (one.isLevel === other.isLevel) return false;
  const [at, otherAt] = [one, other].map(({ atFrom, atTo }) => (atFrom + atTo) / 2);
  const endsNear = ({ from, to }: StraightEdge, place: number) =>
    Math.min(Math.abs(from - place), Math.abs(to - place)) <= withinPx;
  return endsNear(one, otherAt) && endsNear(other, at);
}

/** Whether it lies at the very edge of the picture: what lies there goes on beyond it, and is no border. */
function runsOff({ isLevel, atFrom, atTo, inkPx, opensInk }: StraightEdge, size: SizePx): boolean {
  const across = isLevel ? size.height : size.width;
  const [low, high] = [Math.min(atFrom, atTo), Math.max(atFrom, atTo)];
  return opensInk ? low < 1 || low + inkPx > across - 1 : high > across - 1 || high - inkPx < 1;
}
