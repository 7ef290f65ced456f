import { pxToMm, type SizePx } from '../../config/units.js';
import type { MovementMeasures } from '../model/movement.js';

/** Fitting one movement of a whole page to the shifts of its windows. */

/** What one window says: where its middle is, beside the middle of the page, and how it is shifted; in pixels. */
export interface Sight {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  /** As `Shift` of phase-correlation.ts. */
  readonly clarity: number;
}

/** A movement about the middle of the page, small: (x, y) goes to (x + dx + zoom x - turn y, y + dy + turn x + zoom y). */
export interface Movement {
  /** Pixels. */
  readonly dx: number;
  readonly dy: number;
  /** Radians, clockwise as y runs down. */
  readonly turn: number;
  /** What is added to a size of 1. */
  readonly zoom: number;
}

/** Nothing moves. */
export const still: Movement = { dx: 0, dy: 0, turn: 0, zoom: 0 };

/** A movement with what supports it. */
export interface Fit {
  readonly movement: Movement;
  /** The windows that agree with it. */
  readonly agreeing: readonly Sight[];
  /** How far these are off it, in pixels along one axis (standard deviation). */
  readonly scatterPx: number;
  /** Standard errors of dx (and dy), turn and zoom for each pixel that a window may be off; without limit where not told. */
  readonly spread: { readonly shift: number; readonly turn: number; readonly zoom: number };
}

/** Larger movements are not looked for: 2 degrees, 1.5 percent. Our own choice, no published source. */
const mostTurn = (2 * Math.PI) / 180;
const mostZoom = 0.015;

/** A window agrees with a movement that explains it within so many pixels. */
const agreementPx = 2;

/** Where a movement brings a place beside where it is. */
export function displacement({ dx, dy, turn, zoom }: Movement, x: number, y: number): [number, number] {
  return [dx + zoom * x - turn * y, dy + turn * x + zoom * y];
}

/**
 * The movement that most windows agree with: tried from every pair of windows, then fitted to all that agree by least squares.
 * @returns undefined where there are no two windows
 */
export function fitMovement(sights: readonly Sight[]): Fit | undefined {
  let agreeing: readonly Sight[] = [];
  let best = 0;
  const consider = (movement: Movement) => {
    const those = sights.filter((sight) => offset(movement, sight) <= agreementPx);
    const weight = those.reduce((sum, { clarity }) => sum + clarity, 0);
    if (weight <= best) return;
    best = weight;
    agreeing = those;
  };
  for (let i = 0; i < sights.length; i++) {
    for (let j = 0; j < i; j++) {
      const movement = throughTwo(sights[i], sights[j]);
      if (movement !== undefined) consider(movement);
    }
  }
  if (agreeing.length < 2) return undefined;
  let fit = leastSquares(agreeing);
  for (let round = 0; round < 3; round++) {
    const reach = Math.max(1, Math.min(agreementPx, 3 * fit.scatterPx));
    const those = sights.filter((sight) => offset(fit.movement, sight) <= reach);
    if (those.length < 2) break;
    fit = leastSquares(those);
  }
  return fit;
}

function offset(movement: Movement, { x, y, dx, dy }: Sight): number {
  const [mx, my] = displacement(movement, x, y);
  return Math.hypot(dx - mx, dy - my);
}

/** The movement that two windows say together; where they lie close to each other, the shift that they have in common. */
function throughTwo(one: Sight, other: Sight): Movement | undefined {
  const [x, y] = [one.x - other.x, one.y - other.y];
  const apart = x * x + y * y;
  const [dx, dy] = [one.dx - other.dx, one.dy - other.dy];
  const turn = (x * dy - y * dx) / apart;
  const zoom = (x * dx + y * dy) / apart;
  if (apart === 0 || Math.abs(turn) > mostTurn || Math.abs(zoom) > mostZoom) return undefined;
  const [ox, oy] = displacement({ dx: 0, dy: 0, turn, zoom }, one.x, one.y);
  return { dx: one.dx - ox, dy: one.dy - oy, turn, zoom };
}

/**
 * Least squares. Where it matters it has an unknown that is thrown away: that everything lies the same distance farther out than it
 * should. Colour that is drawn a little beyond its contour looks so, and is no larger page.
 */
function leastSquares(sights: readonly Sight[]): Fit {
  const n = sights.length;
  const mean = (value: (sight: Sight) => number) => sights.reduce((sum, sight) => sum + value(sight), 0) / n;
  const middle = {
    x: mean(({ x }) => x),
    y: mean(({ y }) => y),
    dx: mean(({ dx }) => dx),
    dy: mean(({ dy }) => dy),
  };
  const sums = momentsOf(sights, middle);
  const turn = sums.square === 0 ? 0 : sums.turned / sums.square;
  const { zoom, zoomVariance } = zoomOf(sums, n);
  const [sx, sy] = displacement({ dx: 0, dy: 0, turn, zoom }, middle.x, middle.y);
  const movement = { dx: middle.dx - sx, dy: middle.dy - sy, turn, zoom };
  let rest = 0;
  for (const sight of sights) rest += offset(movement, sight) ** 2;
  const scatterPx = Math.sqrt(rest / Math.max(1, 2 * n - 4));
  const spread = { shift: 1 / Math.sqrt(n), turn: 1 / Math.sqrt(sums.square), zoom: Math.sqrt(zoomVariance) };
  return { movement, agreeing: sights, scatterPx, spread };
}

/** Sums over windows, about their middle: of places, of their directions from it, and of shifts along and across both. */
interface Moments {
  readonly square: number;
  readonly across: number;
  readonly outward: number;
  readonly turned: number;
  readonly zoomed: number;
  readonly thrown: number;
  readonly rest: number;
}

function momentsOf(sights: readonly Sight[], middle: Omit<Sight, 'clarity'>): Moments {
  const ways = sights.map(({ x, y }) => outwardOf(x - middle.x, y - middle.y));
  const meanOf = (axis: 0 | 1) => ways.reduce((sum, way) => sum + way[axis], 0) / ways.length;
  const [wayX, wayY] = [meanOf(0), meanOf(1)];
  const sums = { square: 0, across: 0, outward: 0, turned: 0, zoomed: 0, thrown: 0, rest: 0 };
  sights.forEach((sight, i) => {
    const [x, y] = [sight.x - middle.x, sight.y - middle.y];
    const [dx, dy] = [sight.dx - middle.dx, sight.dy - middle.dy];
    const [ox, oy] = [ways[i][0] - wayX, ways[i][1] - wayY];
    sums.square += x * x + y * y;
    sums.across += x * ox + y * oy;
    sums.outward += ox * ox + oy * oy;
    sums.turned += x * dy - y * dx;
    sums.zoomed += x * dx + y * dy;
    sums.thrown += ox * dx + oy * dy;
    sums.rest += dx * dx + dy * dy;
  });
  return sums;
}

/** So much of the places has to be other than their distance from the middle, or size cannot be told from colour drawn too far. */
const leastOwnShare = 0.05;

/** Windows from which on size is told. */
const leastForZoom = 6;

/** The unknown counts where it is so many times its own error. */
const tellingErrors = 2;

/** What is added to the size of 1, and its variance for windows that are each one pixel off; 0 and none where it cannot be told. */
function zoomOf(sums: Moments, n: number): { zoom: number; zoomVariance: number } {
  const { square, across, outward, zoomed, thrown, rest } = sums;
  const own = square * outward - across * across;
  if (n < leastForZoom || own < leastOwnShare * square * outward) return { zoom: 0, zoomVariance: Infinity };
  const zoom = (zoomed * outward - thrown * across) / own;
  const out = (thrown * square - zoomed * across) / own;
  const left = Math.max(0, rest - zoom * zoomed - out * thrown - sums.turned ** 2 / square);
  const outError = Math.sqrt((left / Math.max(1, 2 * n - 5)) * (square / own));
  if (Math.abs(out) > tellingErrors * outError) return { zoom, zoomVariance: outward / own };
  return { zoom: zoomed / square, zoomVariance: 1 / square };
}

function outwardOf(x: number, y: number): [number, number] {
  const far = Math.hypot(x, y);
  return far === 0 ? [0, 0] : [x / far, y / far];
}

/** The farthest that a movement brings a corner of the page, in pixels. */
export function mostDisplacement(movement: Movement, { width, height }: SizePx): number {
  const corners = [-1, 1].flatMap((x) => [-1, 1].map((y) => [(x * width) / 2, (y * height) / 2]));
  return Math.max(...corners.map(([x, y]) => Math.hypot(...displacement(movement, x, y))));
}

/** Shift, turn or zoom is beyond doubt at so many of its standard errors. */
const sureErrors = 3.5;

/**
 * What of a movement is beyond doubt, the rest 0.
 * @param misleadingPx how far a single window may mislead, in pixels (standard deviation), besides what shows as scatter
 */
export function sureMovement({ movement, spread, scatterPx, agreeing }: Fit, misleadingPx: number): Movement {
  const error = sureErrors * Math.hypot(scatterPx, misleadingPx);
  const turn = Math.abs(movement.turn) > error * spread.turn ? movement.turn : 0;
  const zoom = Math.abs(movement.zoom) > error * spread.zoom ? movement.zoom : 0;
  // Without turn or zoom, what is left is the shift where the windows are.
  const middle = { x: meanOf(agreeing, 'x'), y: meanOf(agreeing, 'y') };
  const [kept, whole] = [
    { ...still, turn, zoom },
    { ...movement, dx: 0, dy: 0 },
  ].map((part) => displacement(part, middle.x, middle.y));
  const [dx, dy] = [movement.dx + whole[0] - kept[0], movement.dy + whole[1] - kept[1]];
  const isShifted = Math.hypot(dx, dy) > error * spread.shift || turn !== 0 || zoom !== 0;
  return isShifted ? { dx, dy, turn, zoom } : still;
}

function meanOf(sights: readonly Sight[], axis: 'x' | 'y'): number {
  return sights.reduce((sum, sight) => sum + sight[axis], 0) / sights.length;
}

/** A movement in what people read. @param displacementPx of what is beyond doubt of it */
export function movementMeasures(
  { dx, dy, turn, zoom }: Movement,
  displacementPx: number,
  ppi: number,
): MovementMeasures {
  return {
    rightMm: pxToMm(dx, ppi),
    downMm: pxToMm(dy, ppi),
    turnedDegrees: (turn * 180) / Math.PI,
    largerPercent: zoom * 100,
    farthestMm: pxToMm(displacementPx, ppi),
  };
}
