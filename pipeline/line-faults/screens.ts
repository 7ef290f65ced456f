import type { Bitmap } from '../model/raster.js';
import { type PhasePlane, planeThrough, type Stand } from './phase-plane.js';
import { ToneTiles, tileCells, type Wave } from './tone-tiles.js';
import { type ScreenWaves, wavesOf } from './tone-waves.js';

/**
 * Screened tone: dots or ruled lines at regular distances. A screen's waves go on from tile to tile without losing step, which hatching
 * by hand, stipple and noise never do; how little they lose over a whole area also gives ruling and angle to a hundredth.
 */

/** Areas of fewer tiles are no tone: four are a square of 11 mm. Ruled lines need more, for a hand can keep step for a while. Own choice. */
const leastDotTiles = 4;
const leastLineTiles = 8;

/** Share of what varies in a tile that a screen's waves have at least. Own choice: a tenth of tone has a quarter. */
const leastShare = 0.2;

/** How far a wave may be out of step in the next tile, in radians, and over an area, root mean square. Own choice. */
const mostAside = 0.9;
const mostRough = 0.45;

/** Screens of one ruling, to this share, and one angle, in degrees, are one. Own choice. */
const sameRuling = 0.01;
const sameDegrees = 0.5;

/** Where a screen is, in pixels. */
export interface ScreenArea {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** A screened tone. */
export interface Screen {
  readonly kind: 'dots' | 'lines';
  /** Lines, or rows of dots, an inch. */
  readonly lpi: number;
  /** Counterclockwise from level: of rows of dots 0 to 90, of lines 0 to 180. */
  readonly degrees: number;
  /** The largest first. */
  readonly areas: readonly ScreenArea[];
}

/** Finds screened tone, the largest first. */
export function findScreens(line: Bitmap, ppi: number): Screen[] {
  const tiles = new ToneTiles(line, ppi);
  const taken = new Uint8Array(tiles.mayHold.length);
  const screens: Screen[] = [];
  const seeds = seedsOf(tiles);
  for (let at = 0; at < seeds.length; at += 2) {
    const pair = [seeds[at], seeds[at + 1] ?? seeds[at]];
    const powers = tiles.powersOf(pair[0], pair[1]);
    for (const [i, seed] of pair.entries()) {
      if (taken[seed] === 1 || (i === 1 && seed === pair[0])) continue;
      const waves = wavesOf(powers[i]);
      const area = waves && areaFrom(tiles, seed, waves, taken);
      if (area !== undefined) addScreen(screens, screenOf(tiles, area, ppi));
    }
  }
  return screens
    .map(({ areas, ...one }) => ({ ...one, areas: [...areas].sort(byArea) }))
    .sort((a, b) => sizeOf(b) - sizeOf(a));
}

function byArea(a: ScreenArea, b: ScreenArea): number {
  return b.width * b.height - a.width * a.height;
}

function sizeOf({ areas }: Screen): number {
  return areas.reduce((sum, { width, height }) => sum + width * height, 0);
}

/** A tile of each square of four of which most may hold tone: a tone that is large enough to be told has such. */
function seedsOf({ mayHold, columns, rows }: ToneTiles): number[] {
  const seeds: number[] = [];
  for (let row = 0; row + 1 < rows; row += 2) {
    for (let column = 0; column + 1 < columns; column += 2) {
      const at = row * columns + column;
      const four = [at, at + 1, at + columns, at + columns + 1].filter((tile) => mayHold[tile] === 1);
      if (four.length >= 3) seeds.push(four[0]);
    }
  }
  return seeds;
}

/** An area of tone: its tiles, and its waves as they go on through all of it. */
interface ToneArea {
  readonly tiles: readonly number[];
  readonly waves: ScreenWaves;
}

/** Goes from tile to tile as long as the waves are in step. */
function areaFrom(
  tiles: ToneTiles,
  seed: number,
  waves: ScreenWaves,
  taken: Uint8Array,
): ToneArea | undefined {
  const stands: Stand[][] = waves.map(() => []);
  const planes: (PhasePlane | undefined)[] = waves.map(() => undefined);
  const found: number[] = [];
  const seen = new Set([seed]);
  const open = [seed];
  for (let tile = open.shift(); tile !== undefined; tile = open.shift()) {
    if (taken[tile] === 1 || tiles.mayHold[tile] === 0) continue;
    const place = { x: tile % tiles.columns, y: Math.floor(tile / tiles.columns) };
    const here = waves.map((wave) => tiles.waveIn(tile, wave));
    if (here.reduce((sum, { share }) => sum + share, 0) < leastShare) continue;
    const stood = here.map(({ re, im }, i) => standAt(Math.atan2(im, re), waves[i], place, planes[i]));
    if (stood.some(({ aside }) => Math.abs(aside) > mostAside)) continue;
    found.push(tile);
    for (const [i, { turn }] of stood.entries()) {
      stands[i].push({ ...place, turn });
      planes[i] = planeThrough(stands[i]);
    }
    for (const next of besides(tile, tiles)) {
      if (seen.has(next)) continue;
      seen.add(next);
      open.push(next);
    }
  }
  if (found.length < (waves.length === 2 ? leastDotTiles : leastLineTiles)) return undefined;
  if (planes.some((plane) => plane === undefined || plane.rough > mostRough)) return undefined;
  for (const tile of found) taken[tile] = 1;
  const corrected = waves.map((wave, i) => goingOn(wave, planes[i] as PhasePlane)) as unknown as ScreenWaves;
  return { tiles: found, waves: corrected };
}

function besides(tile: number, { columns, rows }: ToneTiles): number[] {
  const [x, y] = [tile % columns, Math.floor(tile / columns)];
  const near: number[] = [];
  if (x > 0) near.push(tile - 1);
  if (x + 1 < columns) near.push(tile + 1);
  if (y > 0) near.push(tile - columns);
  if (y + 1 < rows) near.push(tile + columns);
  return near;
}

/** Where a wave stands in a tile beside a wave that has gone on from the page's corner, and how far from what was expected. */
function standAt(
  phase: number,
  wave: Wave,
  { x, y }: { x: number; y: number },
  plane: PhasePlane | undefined,
) {
  const gone = 2 * Math.PI * tileCells * (wave.across * x + wave.down * y);
  const expected = plane === undefined ? 0 : plane.at(x, y);
  const turn = phase - gone;
  const aside = plane === undefined ? 0 : wrapped(turn - expected);
  return { aside, turn: plane === undefined ? turn : expected + aside };
}

function wrapped(radians: number): number {
  return radians - 2 * Math.PI * Math.round(radians / (2 * Math.PI));
}

/** The wave that stays in step over the whole area. */
function goingOn({ across, down }: Wave, { acrossTile, downTile }: PhasePlane): Wave {
  const perCell = 2 * Math.PI * tileCells;
  return { across: across + acrossTile / perCell, down: down + downTile / perCell };
}

function screenOf(tiles: ToneTiles, { tiles: own, waves }: ToneArea, ppi: number): Screen {
  const side = tiles.sidePx;
  const xs = own.map((tile) => tile % tiles.columns);
  const ys = own.map((tile) => Math.floor(tile / tiles.columns));
  const [left, top] = [Math.min(...xs) * side, Math.min(...ys) * side];
  const area = {
    left,
    top,
    width: (Math.max(...xs) + 1) * side - left,
    height: (Math.max(...ys) + 1) * side - top,
  };
  const rulings = waves.map(({ across, down }) => (Math.hypot(across, down) * ppi) / tiles.cellPx);
  const [first, second] = waves.map(({ across, down }) => (Math.atan2(-down, across) * 180) / Math.PI);
  const lpi = rulings.reduce((sum, ruling) => sum + ruling, 0) / rulings.length;
  if (second === undefined) return { kind: 'lines', lpi, degrees: within(first + 90, 180), areas: [area] };
  // Rows of dots that cross at right angles tell the angle twice.
  const twice = within(second - first + 45, 90) - 45;
  const isSquare = Math.abs(twice) < 3;
  return { kind: 'dots', lpi, degrees: within(isSquare ? first + twice / 2 : first, 90), areas: [area] };
}

/** An angle brought to 0 up to the end of a range. */
function within(degrees: number, range: number): number {
  const rest = degrees - range * Math.floor(degrees / range);
  // What is nought but for the noise of measuring is no full turn.
  return range - rest < 0.02 ? 0 : rest;
}

function addScreen(screens: Screen[], one: Screen): void {
  const range = one.kind === 'dots' ? 90 : 180;
  const same = screens.findIndex(({ kind, lpi, degrees }) => {
    const apart = Math.abs(degrees - one.degrees);
    const isTurned = Math.min(apart, range - apart) > sameDegrees;
    return kind === one.kind && !isTurned && Math.abs(lpi / one.lpi - 1) <= sameRuling;
  });
  if (same === -1) screens.push(one);
  else screens[same] = { ...screens[same], areas: [...screens[same].areas, ...one.areas] };
}
