import { mmToPx, type SizePx } from '../../config/units.js';
import { type DarkPlane, darkEdges, darkPlane, inkLevel, type PagePart, seeDark } from './dark-planes.js';
import { cellPx, type EdgeMap } from './edge-maps.js';
import { findHousing } from './housed-text.js';
import { likenessOf, reliefOf } from './likeness.js';
import { keepsToPanels } from './manner.js';
import { phaseCorrelation } from './phase-correlation.js';
import {
  type Fit,
  fitMovement,
  type Movement,
  mostDisplacement,
  type Sight,
  sureMovement,
} from './similarity.js';
import { chooseWindows, fade, type WeighedMap, type Window, windowPx } from './windows.js';

/**
 * How lettering lies on its page. Lettering that shares drawing with the page (balloons, panel borders, art) is laid on it by phase
 * correlation; text that stands in balloons of the page by where it runs across them. Lettering that shares nothing with its
 * page says nothing, and nothing is said of it: that is most lettering, and no fault.
 */
export interface LetteringFit {
  /** `shared`: by drawing that both show. `housed`: by the balloons that text stands in, to a millimetre or so. */
  readonly by: 'shared' | 'housed';
  /** What of the movement is beyond doubt, in pixels of the page. */
  readonly movement: Movement;
  readonly displacementPx: number;
  readonly places: number;
  readonly agreeing: number;
}

/** What was seen of lettering. */
export interface LetteringLook {
  /** undefined where nothing can be told. */
  readonly fit: LetteringFit | undefined;
  readonly plane: DarkPlane;
  readonly edges: EdgeMap;
}

/**
 * Measures how lettering lies on its page.
 * @param below what it is laid on: line, or where that has no file of its own, colour; undefined only looks at the lettering
 * @param page size of the page at some 300 ppi
 */
export function measureLettering(
  lettering: PagePart,
  below: PagePart | undefined,
  page: SizePx,
  ppi: number,
): LetteringLook {
  const plane = darkPlane(lettering, page);
  const edges = darkEdges(plane, page);
  if (below === undefined || !edges.across.some((count) => count > 0))
    return { fit: undefined, plane, edges };
  const beneath = darkPlane(below, page);
  const maps = [darkEdges(beneath, page), edges].map((map) => ({ map, isLine: true }));
  const windows = chooseWindows(maps, page, mostWindows);
  const view = { page, plane, beneath, windows };
  const byBorders = () => (keepsToPanels(edges) ? sharedFit(view, inPlace, false) : undefined);
  const shared = sharedFit(view, inPlace, true) ?? byBorders() ?? farFit(view, maps);
  if (shared !== undefined) return { fit: asFit(shared, view, ppi), plane, edges };
  return { fit: housedFit(plane, beneath, page), plane, edges };
}

interface View {
  readonly page: SizePx;
  readonly plane: DarkPlane;
  readonly beneath: DarkPlane;
  readonly windows: readonly Window[];
}

/** Pixels of a plane along the side of a window. */
const side = windowPx / 2;

/** At most so many windows: lettering lies in few places. */
const mostWindows = 16;

/** Chance alone gives a clarity of 3 to 5, and two curves that look alike 6. */
const leastClarity = 7;
/** So many windows have to agree, and this share of those that are clear. */
const leastAgreeing = 4;
const agreeingShare = 0.6;
/** In a window that goes by straight borders, so much of the lettering's ink has to lie on ink of the page once it is moved. */
const coveredShare = 0.6;

const inPlace = { right: 0, down: 0 };

/** Cells to each side that are searched for lettering that lies far off: 16 mm at 300 ppi. */
const farCells = 12;
/** Where lettering lies far off, it is looked for where it is this much like the page; chance gives less. */
const farLikeness = 0.15;

/** Lettering that lies farther off than windows reach. */
function farFit(view: View, maps: readonly WeighedMap[]): Fit | undefined {
  const [below, own] = maps.map(({ map }) => reliefOf(map));
  const { value, columns, rows } = likenessOf(below, own, farCells, 2);
  if (value < farLikeness) return undefined;
  return sharedFit(view, { right: (columns * cellPx) / 2, down: (rows * cellPx) / 2 }, true);
}

/** The movement that windows agree on, looked for around a place in pixels of the planes. Straight borders count only where the lettering's ink is the page's: captions stand beside borders, all alike. */
function sharedFit(
  { page, plane, beneath, windows }: View,
  { right, down }: { readonly right: number; readonly down: number },
  withoutUprights: boolean,
): Fit | undefined {
  const re = new Float64Array(side * side);
  const im = new Float64Array(side * side);
  const clear: Sight[] = [];
  for (const { left, top } of windows) {
    const square = { left: left >> 1, top: top >> 1, side };
    seeDark(beneath, square, re);
    seeDark(plane, { left: square.left + right, top: square.top + down, side }, im);
    fade(re);
    fade(im);
    const shift = phaseCorrelation({ width: side, height: side, re, im }, { withoutUprights });
    if (shift.clarity < leastClarity) continue;
    if (!withoutUprights && covered(plane, beneath, square, shift) < coveredShare) continue;
    const [x, y] = [left + (windowPx - page.width) / 2, top + (windowPx - page.height) / 2];
    clear.push({ x, y, dx: 2 * (shift.dx + right), dy: 2 * (shift.dy + down), clarity: shift.clarity });
  }
  const fit = fitMovement(clear);
  const agreeing = fit?.agreeing.length ?? 0;
  return agreeing >= leastAgreeing && agreeing >= agreeingShare * clear.length ? fit : undefined;
}

/** Share of the lettering's ink in a square that lies on ink of the page, within a pixel, once it is moved back. */
function covered(
  { width, dark }: DarkPlane,
  beneath: DarkPlane,
  { left, top }: { left: number; top: number },
  { dx, dy }: { dx: number; dy: number },
): number {
  const [right, down] = [Math.round(dx), Math.round(dy)];
  let [ink, met] = [0, 0];
  for (let y = Math.max(1, top, 1 + down); y < Math.min(beneath.height - 1, top + side); y++) {
    for (let x = Math.max(1, left, 1 + right); x < Math.min(width - 1, left + side); x++) {
      if (dark[y * width + x] < inkLevel) continue;
      ink++;
      if (isInkNear(beneath, x - right, y - down)) met++;
    }
  }
  return ink === 0 ? 0 : met / ink;
}

function isInkNear({ width, height, dark }: DarkPlane, x: number, y: number): boolean {
  for (let py = Math.max(0, y - 1); py <= Math.min(height - 1, y + 1); py++) {
    for (let px = Math.max(0, x - 1); px <= Math.min(width - 1, x + 1); px++) {
      if (dark[py * width + px] >= inkLevel) return true;
    }
  }
  return false;
}

/** How far a window may mislead, in millimetres: both are drawn, but not always to the same pixel. */
const misleadingMm = 0.02;

function asFit(fit: Fit, { page, windows }: View, ppi: number): LetteringFit {
  const movement = sureMovement(fit, mmToPx(misleadingMm, ppi));
  const displacementPx = mostDisplacement(movement, page);
  return { by: 'shared', movement, displacementPx, places: windows.length, agreeing: fit.agreeing.length };
}

function housedFit(text: DarkPlane, beneath: DarkPlane, page: SizePx): LetteringFit | undefined {
  const found = findHousing(text, beneath);
  if (found === undefined) return undefined;
  const movement = { dx: -2 * found.dx, dy: -2 * found.dy, turn: 0, zoom: 0 };
  const displacementPx = mostDisplacement(movement, page);
  return { by: 'housed', movement, displacementPx, places: found.groups, agreeing: found.hit };
}
