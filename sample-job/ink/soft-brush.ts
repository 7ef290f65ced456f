import { type Hex, type Rgb, rgbOf } from './colour.js';
import { boundsOf, box, type Outline, type Pt } from './geometry.js';
import { noise2, randomFrom } from './random.js';
import type { Sheet } from './sheet.js';
import type { Coverage } from './soft-maps.js';

/** How a soft brush touches the paper: paint alone, never ink. */
export interface SoftTouch {
  /** Width of the stroke from where it begins to show to where it ends to, in page units. */
  readonly weight: number;
  /** How much paint it leaves, 0 to 1. Default: 1. */
  readonly strength?: number;
  /** How dry the brush is: share of the paint that its bristles leave out here and there, 0 to 1. Default: 0.5. */
  readonly dry?: number;
  /** Share of the width left at the end of the stroke, 0 to 1. Default: 0.5. */
  readonly end?: number;
  readonly seed?: number;
}

/** One stroke of a soft brush along an open line. */
export function softStroke(sheet: Sheet, way: Outline, touch: SoftTouch, colour: Hex): void {
  const { x0, y0, x1, y1 } = boundsOf(way);
  const half = touch.weight / 2;
  const area = box(x0 - half, y0 - half, x1 - x0 + touch.weight, y1 - y0 + touch.weight);
  sheet.wash(area, colour, brushed(way.points, touch));
}

/** Coverage of a stroke: full in its middle, nothing at its rim, streaked by its bristles along its way. */
function brushed(points: readonly Pt[], touch: SoftTouch): Coverage {
  const { weight, strength = 1, dry = 0.5, end = 0.5, seed = 1 } = touch;
  const pieces = piecesOf(points);
  const total = pieces.reduce((sum, { length }) => sum + length, 0) || 1;
  return (x, y) => {
    let nearest = Infinity;
    let along = 0;
    let aside = 0;
    for (const { x0, y0, ux, uy, length, start } of pieces) {
      const dx = x - x0;
      const dy = y - y0;
      const t = Math.min(length, Math.max(0, dx * ux + dy * uy));
      const ex = dx - t * ux;
      const ey = dy - t * uy;
      const distance = ex * ex + ey * ey;
      if (distance >= nearest) continue;
      nearest = distance;
      along = start + t;
      aside = dy * ux - dx * uy;
    }
    const half = (weight / 2) * (1 - (1 - end) * (along / total));
    const inside = 1 - nearest / (half * half);
    if (inside <= 0) return 0;
    const bristle = dry > 0 ? 1 - dry * (0.5 + 0.5 * noise2(along / 22, aside / 1.3, seed)) : 1;
    return strength * bristle * Math.min(1, inside * inside * 1.6);
  };
}

interface Piece {
  readonly x0: number;
  readonly y0: number;
  /** The way of the piece, of length 1. */
  readonly ux: number;
  readonly uy: number;
  readonly length: number;
  /** How far along the whole stroke it begins. */
  readonly start: number;
}

function piecesOf(points: readonly Pt[]): Piece[] {
  let start = 0;
  return points.slice(1).map(([x1, y1], index) => {
    const [x0, y0] = points[index];
    const length = Math.hypot(x1 - x0, y1 - y0) || 1;
    const piece = { x0, y0, ux: (x1 - x0) / length, uy: (y1 - y0) / length, length, start };
    start += length;
    return piece;
  });
}

/** What a painter sees: the colour of each place, in page units. */
export type View = (x: number, y: number) => Rgb;

/** One going-over with one brush. */
export interface Coat {
  readonly area: { readonly x0: number; readonly y0: number; readonly x1: number; readonly y1: number };
  readonly count: number;
  /** Width and length of its strokes, in page units. */
  readonly weight: number;
  readonly length: number;
  readonly strength: number;
  readonly dry?: number;
  readonly seed: number;
  /** Way of the brush at a place, in radians. */
  readonly flow: (x: number, y: number) => number;
}

/** Paints what is seen with one brush: each stroke takes its colour from where its middle lies, a little off. */
export function paintCoat(sheet: Sheet, view: View, coat: Coat): void {
  const { area, count, weight, length, strength, dry = 0.5, seed, flow } = coat;
  const random = randomFrom(seed);
  for (let i = 0; i < count; i++) {
    const x = area.x0 + (area.x1 - area.x0) * random();
    const y = area.y0 + (area.y1 - area.y0) * random();
    const angle = flow(x, y) + (random() - 0.5) * 0.3;
    const half = length * (0.3 + 0.4 * random());
    const [dx, dy] = [half * Math.cos(angle), half * Math.sin(angle)];
    const bend = (random() - 0.5) * half * 0.24;
    const points: Pt[] = [
      [x - dx, y - dy],
      [x - (dy / half) * bend, y + (dx / half) * bend],
      [x + dx, y + dy],
    ];
    const size = weight * (0.6 + 0.8 * random());
    const touch = { weight: size, strength, dry, seed: seed + i };
    softStroke(sheet, { points, corners: [], closed: false }, touch, offColour(view(x, y), random));
  }
}

/** How far one stroke's colour may lie from the next, of 255. */
const unevenness = 9;

function offColour(colour: Rgb, random: () => number): Hex {
  const light = (random() - 0.5) * unevenness;
  const warm = (random() - 0.5) * unevenness;
  const level = (colour[0] + colour[1] + colour[2]) / 765;
  const share = 0.25 + 0.75 * level;
  return hexOf([
    colour[0] + (light + warm) * share,
    colour[1] + light * share,
    colour[2] + (light - warm) * share,
  ]);
}

function hexOf(colour: readonly number[]): Hex {
  const value = colour.reduce((sum, v) => sum * 256 + Math.min(255, Math.max(0, Math.round(v))), 0);
  return `#${value.toString(16).padStart(6, '0')}`;
}

/** Mixes two colours; 0 is the first, 1 the second. */
export function mixed(from: Rgb, to: Rgb, t: number): Rgb {
  const u = Math.min(1, Math.max(0, t));
  return [from[0] + (to[0] - from[0]) * u, from[1] + (to[1] - from[1]) * u, from[2] + (to[2] - from[2]) * u];
}

/** A colour on a row of stops, each a place and a colour, places growing. */
export function ramp(stops: readonly (readonly [number, Hex])[], at: number): Rgb {
  const next = stops.findIndex(([place]) => place >= at);
  if (next < 0) return rgbOf(stops[stops.length - 1][1]);
  if (next === 0) return rgbOf(stops[0][1]);
  const [from, a] = stops[next - 1];
  const [to, b] = stops[next];
  return mixed(rgbOf(a), rgbOf(b), (at - from) / (to - from));
}
