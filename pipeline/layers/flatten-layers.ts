import type { Part } from '../../config/job.js';
import type { LineSettings } from '../../config/print-spec.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Plate, Raster, RasterInPieces } from '../model/raster.js';
import type { BlendMode, Layer, LayeredPicture, LayerGroup } from '../model/working-page.js';
import { blackTolerance } from './black.js';
import { clearsOutside, full16 } from './blend.js';
import { type Canvas, emptyCanvas, type LineRule, layLine, layPaint, mergeCanvas } from './canvas.js';
import { splitPage } from './holds.js';
import { splitLineTile } from './ink-split.js';
import { LayerReader } from './layer-reader.js';
import { cutTile, edgePx, splitLettering } from './lettering.js';
import { LetteringMarks } from './lettering-marks.js';
import { StackNotes } from './stack-notes.js';
import { isOpaque, TilePool } from './tile-pool.js';
import {
  allTiles,
  type Box,
  type Placed,
  placedBox,
  type Tile,
  tileBox,
  tileGrid,
  tileSamples,
  tileSide,
  tilesUnder,
} from './tiles.js';

/** A layered page as one picture, its black line apart. */
export interface FlattenedPage {
  /** rgb without alpha, 16 bit if any layer is, else 8: what prints in colour; under line that stays, the colour beneath. */
  readonly colour: Raster;
  /** The page as it looks, line included, like `colour`; undefined without line. */
  readonly painted: Raster | undefined;
  /** How bright whatever lies above the line makes it, width x height x 1, 0 to 255; undefined where nothing does. */
  readonly light: Plate | undefined;
  /** Amount of black line, width x height x 1, 0 to 255, not yet thresholded; undefined without a line or lettering layer. */
  readonly line: Plate | undefined;
  /** 255 where line was held back to the colour plates; undefined when none was. */
  readonly held: Plate | undefined;
  /** Share of the line's area, before anything was held back, that prints in colour; percent. */
  readonly heldPercent: number;
  /** Share of the same area that is hidden under paint, as under a balloon, and prints nowhere; percent. */
  readonly coveredPercent: number;
  /** 255 where layers of lettering show, for every second pixel across and down; undefined without any. */
  readonly lettering: Plate | undefined;
  readonly noticed: readonly Noticed[];
}

export interface FlattenOptions {
  /** The part that a layer's name speaks of, if it does. */
  readonly partOf: (layerName: string) => Part | undefined;
  /** How black line is told from everything else. */
  readonly line: LineSettings;
}

type PlacedLayer = Placed<Raster | RasterInPieces>;

/** What the walk through the stack carries along. */
interface Walk {
  readonly partOf: (layerName: string) => Part | undefined;
  readonly rule: LineRule;
  readonly notes: StackNotes;
  readonly lettering: LetteringMarks;
  sixteenBit: boolean;
}

/**
 * Flattens a layered page onto white paper and keeps its black line apart, at the page's own resolution. Each layer is
 * decoded once, one at a time. Blending follows W3C Compositing and Blending Level 1; the stack's rules, isolation
 * among them, follow the OpenRaster specification.
 *
 * @param picture the page and its layers; the first child of a group is its topmost
 * @param arena works in a scope of its own, which only the colour outlives
 * @throws PlatehandError picture-unsupported for a layer of CMYK pixels, and whatever decoding a layer throws
 */
export function flatten(
  picture: LayeredPicture,
  options: FlattenOptions,
  arena: PageArena,
): Promise<FlattenedPage> {
  return arena.scope(() => flattenInScope(picture, options, arena));
}

async function flattenInScope(
  picture: LayeredPicture,
  options: FlattenOptions,
  arena: PageArena,
): Promise<FlattenedPage> {
  const walk: Walk = {
    partOf: options.partOf,
    rule: {
      tolerance: blackTolerance(options.line),
      threshold: (options.line.thresholdPercent / 100) * full16,
    },
    notes: new StackNotes(),
    lettering: new LetteringMarks(picture),
    sixteenBit: false,
  };
  const grid = tileGrid(picture.width, picture.height);
  const canvas = emptyCanvas(grid, new TilePool(grid, arena));
  await layStack(picture.root, undefined, canvas, walk);
  // What splitting makes is as large as a layer again.
  await arena.reclaim.pictures(picture.width * picture.height * 3);
  const page = splitPage(canvas, walk.rule, walk.sixteenBit, walk.notes.hasLine());
  const lettering = walk.lettering.plate();
  return { ...page, lettering, noticed: walk.notes.noticed(page.coveredPercent) };
}

/** Lays a group's children onto a canvas, the lowest first. */
async function layStack(
  group: LayerGroup,
  part: Part | undefined,
  canvas: Canvas,
  walk: Walk,
): Promise<void> {
  for (const entry of [...group.children].reverse()) {
    const own = partIn(part, walk.partOf(entry.name));
    if (!entry.visible || (entry.opacity <= 0 && !clearsOutside(entry.blend))) {
      walk.notes.hidden(entry.name);
    } else if (entry.kind === 'layer') {
      await canvas.pool.arena.reclaim.pictures(await layLayer(entry, own, canvas, walk));
    } else if (isIsolated(entry)) {
      const inner = emptyCanvas(canvas.grid, canvas.pool);
      await layStack(entry, own, inner, walk);
      mergeCanvas(canvas, inner, entry, walk.rule);
    } else {
      await layStack(entry, own, canvas, walk);
    }
  }
}

/** All content of a group of line or lettering is line or lettering; elsewhere a layer's own name comes first. */
function partIn(group: Part | undefined, own: Part | undefined): Part | undefined {
  return group === 'line' || group === 'lettering' ? group : (own ?? group);
}

/** OpenRaster layer stack, since 0.0.4: opacity or a mode of its own isolates a group, whatever it says. */
function isIsolated(group: LayerGroup): boolean {
  return group.isolated || group.opacity < 1 || group.blend !== 'src-over';
}

/** Decodes one layer and lays it onto the canvas as the part that it is; says how many bytes it had. */
async function layLayer(layer: Layer, part: Part | undefined, canvas: Canvas, walk: Walk): Promise<number> {
  const opacity = Math.min(1, Math.max(0, layer.opacity));
  const raster = await (layer.pieces ?? layer.pixels)();
  const bytes = 'pieces' in raster ? 0 : raster.data.byteLength;
  if ('data' in raster && raster.data instanceof Uint16Array) walk.sixteenBit = true;
  const placed: PlacedLayer = { raster, x: layer.x, y: layer.y, opacity };
  const box = placedBox(canvas.grid, placed);
  const onPage = box.left < box.right && box.top < box.bottom;
  const tiles = clearsOutside(layer.blend) ? allTiles(canvas.grid) : tilesUnder(canvas.grid, box);
  // The two modes under which black over paint looks like the one pixel that both came from.
  const parts = layer.blend === 'src-over' || layer.blend === 'multiply';
  let shows: boolean;
  if (part === 'line') shows = layLineLayer(placed, layer.blend, tiles, canvas, walk.rule);
  else if (part === 'lettering' && parts) shows = layLettering(placed, layer.blend, box, canvas, walk);
  else shows = layPaintLayer(placed, layer.blend, tiles, canvas);
  walk.notes.laid(layer.name, part, onPage, shows);
  return bytes;
}

/** Lays paint, tile by tile; says whether any pixel of it shows. */
function layPaintLayer(
  placed: PlacedLayer,
  mode: BlendMode,
  tiles: readonly number[],
  canvas: Canvas,
): boolean {
  const { pool } = canvas;
  const reader = new LayerReader(placed, pool);
  const over = pool.acquire();
  let shows = false;
  for (const index of tiles) {
    const tileShows = reader.read(tileBox(canvas.grid, index), over, tileSide);
    if (tileShows || clearsOutside(mode)) layPaint(canvas, index, mode, over);
    shows = shows || tileShows;
  }
  pool.release(over);
  return shows;
}

/** Lays line, tile by tile; white paint among it, such as corrections, is laid as the paint that it is. */
function layLineLayer(
  placed: PlacedLayer,
  mode: BlendMode,
  tiles: readonly number[],
  canvas: Canvas,
  rule: LineRule,
): boolean {
  const { pool } = canvas;
  const reader = new LayerReader(placed, pool);
  const [over, paint, ink] = [pool.acquire(), pool.acquire(), pool.acquire()];
  let shows = false;
  for (const index of tiles) {
    const tileShows = reader.read(tileBox(canvas.grid, index), over, tileSide);
    shows = shows || tileShows;
    if (mode !== 'src-over') {
      if (mode === 'multiply' && changesNothing(over, canvas, index)) continue;
      if (tileShows || clearsOutside(mode)) layLine(canvas, index, mode, over, rule);
    } else if (tileShows) {
      const split = splitLineTile(over, rule.tolerance, paint, ink);
      if (split.paint) layPaint(canvas, index, mode, paint);
      if (split.ink) layLine(canvas, index, mode, ink, rule);
    }
  }
  pool.release(over, paint, ink);
  return shows;
}

/** Bare paper of scanned inks, multiplied onto opaque paint without line: most tiles of most pages. */
function changesNothing(over: Tile, canvas: Canvas, index: number): boolean {
  const under = canvas.full[index];
  if (under === undefined || canvas.lines[index] !== undefined) return false;
  const isFilled = isOpaque(under);
  for (let i = 0; i < tileSamples; i += 4) {
    if (over[i + 3] === 0) continue;
    const isPaper = over[i] === full16 && over[i + 1] === full16 && over[i + 2] === full16;
    if (!isPaper || (!isFilled && under[i + 3] !== full16)) return false;
  }
  return true;
}

/** Lays lettering, one row of tiles at a time: balloons as paint, then their black text and outlines as line. */
function layLettering(
  placed: PlacedLayer,
  mode: BlendMode,
  box: Box,
  canvas: Canvas,
  { rule, lettering }: Walk,
): boolean {
  const { grid, pool } = canvas;
  const reader = new LayerReader(placed, pool);
  const width = grid.columns * tileSide;
  const rows = tileSide + 2 * edgePx;
  const pixels = pool.pixels(width * rows);
  const paint = new Uint16Array(pixels.length);
  const ink = new Uint16Array(pixels.length);
  const piece = pool.acquire();
  let shows = false;
  for (let row = Math.floor(box.top / tileSide); row * tileSide < box.bottom && box.left < box.right; row++) {
    const top = row * tileSide - edgePx;
    const bottom = Math.min(top + rows, grid.height);
    const band: Box = { left: 0, top, right: grid.width, bottom };
    if (!reader.read(band, pixels, width)) continue;
    shows = true;
    lettering.mark(pixels.subarray(edgePx * width * 4), width, top + edgePx, tileSide, mode === 'multiply');
    splitLettering({ width, rows, pixels }, rule.tolerance, paint, ink);
    for (let column = 0; column < grid.columns; column++) {
      const index = row * grid.columns + column;
      if (cutTile(paint, width, column, piece)) layPaint(canvas, index, mode, piece);
      if (cutTile(ink, width, column, piece)) layLine(canvas, index, mode, piece, rule);
    }
  }
  pool.release(piece);
  return shows;
}
