import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { BlendMode } from '../model/working-page.js';
import { type BlackTolerance, isCovered, unexplained } from './black.js';
import { clearsOutside, compositeTile, full16 } from './blend.js';
import { keepCoverEdges } from './cover-edge.js';
import type { LineTile, TilePool } from './tile-pool.js';
import { fade, type StoredTile, type Tile, type TileGrid, tilePixels, tilesOfRow } from './tiles.js';

/**
 * A canvas is what one isolated group, or the whole page, is composited on. It is there twice: `full` with everything,
 * `bare` without the black line. Tiles that no line has touched are one and the same in both.
 */
export interface Canvas {
  readonly grid: TileGrid;
  /** Where its tiles come from. */
  readonly pool: TilePool;
  readonly full: (StoredTile | undefined)[];
  readonly bare: (StoredTile | undefined)[];
  /** The black line on each tile; a tile without an entry has none, and shares `full` and `bare`. */
  readonly lines: (LineTile | undefined)[];
}

/** At least the threshold's amount of line was drawn here. */
export const markLine = 1;
/** Line here was coloured and went to the colour plates. */
export const markHeld = 2;
/** The line of this pixel does not stay on the black plate. */
export const markGone = 4;

/** What judging line needs to know. */
export interface LineRule {
  readonly tolerance: BlackTolerance;
  /** Amount from which a pixel is ink, 0 to 65535. */
  readonly threshold: number;
}

export function emptyCanvas(grid: TileGrid, pool: TilePool): Canvas {
  const tiles = grid.columns * grid.rows;
  return {
    grid,
    pool,
    full: new Array<StoredTile | undefined>(tiles).fill(undefined),
    bare: new Array<StoredTile | undefined>(tiles).fill(undefined),
    lines: new Array<LineTile | undefined>(tiles).fill(undefined),
  };
}

/** Composites onto one tile of a pile; an empty one is only begun if the mode can put something there. */
function layOn(
  pile: (StoredTile | undefined)[],
  index: number,
  mode: BlendMode,
  over: Tile,
  pool: TilePool,
): void {
  const under = pile[index];
  if (under !== undefined && mode === 'src-over' && pool.layOn(under, over)) return;
  if (under !== undefined) {
    const opened = pool.open(under, pool.opened.full);
    compositeTile(mode, opened, over, pool.scratch, pool.arena);
    pile[index] = pool.close(under, opened);
  } else if (mode !== 'dst-in' && mode !== 'dst-out' && mode !== 'src-atop') pile[index] = pool.store(over);
}

/** Lays paint, which is no line, onto one tile of a canvas. */
export function layPaint(canvas: Canvas, index: number, mode: BlendMode, over: Tile): void {
  const line = canvas.lines[index];
  layOn(canvas.full, index, mode, over, canvas.pool);
  if (line === undefined) {
    canvas.bare[index] = canvas.full[index];
    return;
  }
  layOn(canvas.bare, index, mode, over, canvas.pool);
  line.overlaid = true;
  if (mode !== 'src-over') return;
  changeBare(canvas, index, (full, bare) => keepCoverEdges(full, bare, over, line.amount));
}

/** Lays line onto one tile of a canvas: it joins the full page only, and its darkness joins the amount of line. */
export function layLine(canvas: Canvas, index: number, mode: BlendMode, over: Tile, rule: LineRule): void {
  const line = lineTileOf(canvas, index, rule);
  layOn(canvas.full, index, mode, over, canvas.pool);
  // Line that covers hides the colour as far as it is opaque, whatever its own; line in other modes as far as it is dark.
  addLine(line, over, mode === 'src-over', rule, canvas.pool.arena);
}

/** Lays a row of tiles of an isolated group's own canvas onto the one beneath. Those of the group are used up. */
export function mergeRow(
  canvas: Canvas,
  inner: Canvas,
  row: number,
  group: { readonly opacity: number; readonly blend: BlendMode },
  rule: LineRule,
): void {
  const opacity = Math.min(1, Math.max(0, group.opacity));
  const { pool } = canvas;
  for (const index of tilesOfRow(canvas.grid, row)) {
    const full = inner.full[index];
    const line = inner.lines[index];
    if (full === undefined && !clearsOutside(group.blend)) continue;
    const over = fade(pool.open(full, pool.opened.over), opacity);
    if (line === undefined) layPaint(canvas, index, group.blend, over);
    else {
      const bare = fade(pool.open(inner.bare[index], pool.opened.overBare), opacity);
      layGroup(canvas, index, group.blend, { full: over, bare, line, opacity }, rule);
      pool.releaseLine(line);
    }
    pool.release(full, inner.bare[index]);
  }
}

/** Lays one tile of a group: its full side onto the full page, its bare side onto the bare. */
function layGroup(
  canvas: Canvas,
  index: number,
  mode: BlendMode,
  group: { full: Tile; bare: Tile; line: LineTile; opacity: number },
  rule: LineRule,
): void {
  const line = lineTileOf(canvas, index, rule);
  if (mode === 'src-over') foldUnderPaint(canvas, index, group.bare, line);
  layOn(canvas.full, index, mode, group.full, canvas.pool);
  layOn(canvas.bare, index, mode, group.bare, canvas.pool);
  for (let pixel = 0; pixel < tilePixels; pixel++) {
    const amount = group.line.amount[pixel] * group.opacity;
    if (amount > 0) addAmount(line, pixel, amount, rule.threshold);
    if (group.opacity === 1 || (group.line.marks[pixel] & markHeld) !== 0) {
      line.marks[pixel] |= group.line.marks[pixel];
    }
  }
  line.overlaid = true;
}

function addLine(
  { amount, marks }: LineTile,
  over: Tile,
  covers: boolean,
  { threshold }: LineRule,
  memory: KernelMemory,
): void {
  const [tile, amounts, marked] = memory.scratch(over.byteLength, amount.byteLength, marks.byteLength);
  const [from, toAmount] = [memory.addressOf(over, tile), memory.addressOf(amount, amounts)];
  const toMarks = memory.addressOf(marks, marked);
  const least = Math.ceil(threshold);
  memory.kernels.addLine(from, covers ? 1 : 0, toAmount, toMarks, markLine, least, tilePixels);
  memory.store(toAmount, amount);
  memory.store(toMarks, marks);
}

/** Several layers of line on one pixel combine as 1 - (1 - a)(1 - b). */
function addAmount(line: LineTile, pixel: number, amount: number, threshold: number): void {
  const before = line.amount[pixel];
  const after = before + amount - (before * amount) / full16 + 0.5;
  line.amount[pixel] = after;
  if (line.amount[pixel] >= threshold) line.marks[pixel] |= markLine;
}

/** The line of a tile, begun if there was none; line that lies there under later paint is judged first. */
function lineTileOf(canvas: Canvas, index: number, rule: LineRule): LineTile {
  const line = canvas.lines[index];
  if (line !== undefined) {
    if (line.overlaid) settle(canvas, index, line, rule);
    return line;
  }
  const begun = canvas.pool.acquireLine();
  canvas.lines[index] = begun;
  const full = canvas.full[index];
  canvas.bare[index] = full === undefined ? undefined : canvas.pool.copyOf(full);
  return begun;
}

/** A sample as it looks on white paper. */
export function onWhite(sample: number, alpha: number): number {
  return full16 + ((sample - full16) * alpha) / full16;
}

/**
 * Judges line that was overlaid, before more line comes on top: what is still black stays line; what is covered or
 * coloured is line no more, and joins the bare page as it looks. Without this, lettering on a panel that hides line
 * art could not be told from the line art beneath it.
 */
function settle(canvas: Canvas, index: number, line: LineTile, rule: LineRule): void {
  line.overlaid = false;
  changeBare(canvas, index, (full, bare) => {
    for (let pixel = 0, i = 0; pixel < tilePixels; pixel++, i += 4) {
      const amount = line.amount[pixel];
      if (amount === 0) continue;
      const fate = judgePixel(full, bare, i, amount, rule.tolerance);
      if (fate <= 1) continue;
      line.amount[pixel] = 0;
      if (fate !== covered && amount >= rule.threshold) line.marks[pixel] |= markHeld;
      bare.set(full.subarray(i, i + 4), i);
    }
  });
}

/** Both sides of a tile, with alpha; whatever lies nowhere is transparent. */
export function openBoth({ full, bare, pool }: Canvas, index: number): { full: Tile; bare: Tile } {
  return { full: pool.open(full[index], pool.opened.full), bare: pool.open(bare[index], pool.opened.bare) };
}

/** Opens both sides of a tile, for a change of the bare one. */
function changeBare(canvas: Canvas, index: number, change: (full: Tile, bare: Tile) => void): void {
  const { pool } = canvas;
  const full = canvas.full[index];
  if (full === undefined) return;
  const stored = canvas.bare[index] ?? pool.acquireEmpty();
  const bare = pool.open(stored, pool.opened.bare);
  change(pool.open(full, pool.opened.full), bare);
  canvas.bare[index] = pool.close(stored, bare);
}

/** What `judgePixel` gives for line that is covered; any other number is how much black line leaves unexplained. */
export const covered = Number.POSITIVE_INFINITY;

/** Judges the line at sample `i` of two tiles, both seen on white paper. */
export function judgePixel(
  full: Tile,
  bare: Tile,
  i: number,
  amount: number,
  tolerance: BlackTolerance,
): number {
  const alpha0 = full[i + 3];
  const alpha1 = bare[i + 3];
  const r0 = onWhite(full[i], alpha0);
  const g0 = onWhite(full[i + 1], alpha0);
  const b0 = onWhite(full[i + 2], alpha0);
  const r1 = onWhite(bare[i], alpha1);
  const g1 = onWhite(bare[i + 1], alpha1);
  const b1 = onWhite(bare[i + 2], alpha1);
  const rest = unexplained(r0, g0, b0, r1, g1, b1, amount, tolerance);
  if (rest <= 1) return rest;
  return isCovered(r0, g0, b0, r1, g1, b1, amount) ? covered : rest;
}

/** How much brighter the page is than black line over the page beneath would be, in its brightest channel: k a of `unexplained`. */
export function lightOn(full: Tile, bare: Tile, i: number, amount: number): number {
  const shown = 1 - amount / full16;
  let most = 0;
  for (let c = i; c < i + 3; c++) {
    most = Math.max(most, onWhite(full[c], full[i + 3]) - onWhite(bare[c], bare[i + 3]) * shown);
  }
  return most;
}

/** Line beneath a group that brings its own line: where the group's paint lies on it, the page as it looks stays. */
function foldUnderPaint(canvas: Canvas, index: number, paint: Tile, line: LineTile): void {
  changeBare(canvas, index, (full, bare) => {
    for (let pixel = 0, i = 0; pixel < tilePixels; pixel++, i += 4) {
      const alpha = paint[i + 3];
      if (line.amount[pixel] === 0 || alpha === 0) continue;
      // Behind opaque paint the line is hidden; behind anything thinner it shows, but is black no more.
      if (alpha !== full16 && (line.marks[pixel] & markLine) !== 0) line.marks[pixel] |= markHeld;
      line.amount[pixel] = 0;
      bare.set(full.subarray(i, i + 4), i);
    }
  });
}
